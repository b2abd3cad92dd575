package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"tracewright/models"
	"tracewright/models/work/access"
)

type userCommand struct {
	Add          userAdd          `cmd:"" help:"Add a person and print the address at which they set their password."`
	List         userList         `cmd:"" help:"List everybody."`
	Password     userPassword     `cmd:"" help:"Print a new address at which a person sets their password."`
	Pin          userPIN          `cmd:"" help:"Set a person's PIN, read from standard input."`
	SecondFactor userSecondFactor `cmd:"" help:"Take away the second factor of a person who has lost it."`
	Deactivate   userDeactivate   `cmd:"" help:"A person who left: may not sign in any more; what they did stays."`
}

// Help tells why no secret is an argument.
func (userCommand) Help() string {
	return `Roles: an operator records, releases own work and raises holds; an inspector also lifts, voids, settles and calibrates; the desk looks; the owner may do all, and alone keeps people, devices and specifications.

No password is typed here, where others may read it: the person opens a one-time address and sets it there. An owner does the same on the page "People".`
}

// withAccess opens the database and hands the service of people to f.
func withAccess(ctx context.Context, database string, f func(*access.Service) error) error {
	s, err := databaseFlag{database}.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if err := broughtUp(ctx, s); err != nil {
		return err
	}
	return f(access.New(s, time.Now, access.Cost{}))
}

type userAdd struct {
	databaseFlag
	Name  string `help:"Name, as certificates print it." required:""`
	Role  string `help:"What they may do: ${enum}." enum:"operator,inspector,desk,owner" required:""`
	Login string `help:"Login for the office; who works at a tablet only needs none."`
	At    string `help:"Address of the server, for the link." default:"http://localhost:8080"`
}

// Run adds the person.
func (u *userAdd) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		alike, err := u.namesake(ctx, people)
		if err != nil {
			return err
		}
		if alike != "" && u.Login == "" { // No command could name either of them then.
			return &exitError{2, alike + ", or give a login"}
		}
		p, err := people.AddPerson(ctx, models.Actor{}, access.NewPerson{Name: u.Name, Role: models.Role(u.Role), Login: u.Login})
		if err != nil {
			return err
		}
		if alike != "" {
			fmt.Fprintln(std.err, alike)
		}
		fmt.Fprintf(std.out, "%s is added as %s.\n", p.Name, p.Role)
		if p.Login == nil {
			return nil
		}
		return printLink(ctx, std, people, p, u.At)
	})
}

// namesake says that somebody who may sign in is called so already; empty: nobody is.
func (u *userAdd) namesake(ctx context.Context, people *access.Service) (string, error) {
	everybody, err := people.People(ctx)
	name := strings.TrimSpace(u.Name)
	if err != nil || !slices.ContainsFunc(everybody, func(p models.Person) bool { return p.Active && strings.EqualFold(p.Name, name) }) {
		return "", err
	}
	return fmt.Sprintf("tracewright: Another is called %s: a tablet shows two equal buttons. Add a word to one of the names", name), nil
}

func printLink(ctx context.Context, std streams, people *access.Service, p models.Person, at string) error {
	token, err := people.PasswordLink(ctx, models.Actor{}, p.ID)
	if err != nil {
		return err
	}
	fmt.Fprintf(std.out, "Within 24 hours, once, %s sets a password at\n\n  %s/setup/%s\n\n", p.Name, strings.TrimSuffix(at, "/"), token)
	return nil
}

type userList struct{ databaseFlag }

// Run lists everybody.
func (u *userList) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		everybody, err := people.People(ctx)
		if err != nil {
			return err
		}
		w := tabwriter.NewWriter(std.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(w, "NAME\tROLE\tLOGIN\tPASSWORD\tPIN\tACTIVE")
		for _, p := range everybody {
			login := "-"
			if p.Login != nil {
				login = *p.Login
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\n", p.Name, p.Role, login, isSet(p.PasswordHash), isSet(p.PINHash), yesNo(p.Active))
		}
		return w.Flush()
	})
}

func isSet(hash string) string {
	if hash == "" {
		return "-"
	}
	return "set"
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// whoArgument names a person.
type whoArgument struct {
	Who string `arg:"" help:"Login, or full name, of the person."`
}

type userPassword struct {
	databaseFlag
	whoArgument
	At string `help:"Address of the server, for the link." default:"http://localhost:8080"`
}

// Run prints a link.
func (u *userPassword) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := u.find(ctx, people)
		if err != nil {
			return err
		}
		return printLink(ctx, std, people, p, u.At)
	})
}

type userPIN struct {
	databaseFlag
	whoArgument
}

// Run takes one line as the PIN.
func (u *userPIN) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := u.find(ctx, people)
		if err != nil {
			return err
		}
		line, err := bufio.NewReader(std.in).ReadString('\n')
		if err != nil && !errors.Is(err, io.EOF) {
			return fmt.Errorf("read the PIN: %w", err)
		}
		if err := people.SetPIN(ctx, models.Actor{}, p.ID, strings.TrimSpace(line)); err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s has a new PIN.\n", p.Name)
		return nil
	})
}

type userSecondFactor struct {
	databaseFlag
	whoArgument
}

// Run takes it away: for an owner who has nobody else to ask.
func (u *userSecondFactor) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := u.find(ctx, people)
		if err != nil {
			return err
		}
		err = people.ResetSecond(ctx, models.Actor{}, p.ID)
		if errors.Is(err, models.ErrNotFound) {
			return &exitError{2, "tracewright: " + p.Name + " has no second factor"}
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s signs in by the password alone until another is set up.\n", p.Name)
		return nil
	})
}

type userDeactivate struct {
	databaseFlag
	whoArgument
}

// Run ends what a person may do.
func (u *userDeactivate) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := u.find(ctx, people)
		if err != nil {
			return err
		}
		gone := false
		if _, err := people.UpdatePerson(ctx, models.Actor{}, p.ID, access.Change{Active: &gone}); err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s may not sign in any more.\n", p.Name)
		return nil
	})
}

// find finds a person by login, or by a name that only one person has, or only one of
// those who may sign in.
func (w whoArgument) find(ctx context.Context, people *access.Service) (models.Person, error) {
	everybody, err := people.People(ctx)
	if err != nil {
		return models.Person{}, err
	}
	var named []models.Person
	for _, p := range everybody {
		if p.Login != nil && strings.EqualFold(*p.Login, w.Who) {
			return p, nil
		}
		if strings.EqualFold(p.Name, w.Who) {
			named = append(named, p)
		}
	}
	if active := slices.DeleteFunc(slices.Clone(named), func(p models.Person) bool { return !p.Active }); len(active) > 0 {
		named = active
	}
	switch len(named) {
	case 0:
		return models.Person{}, &exitError{2, "tracewright: nobody has the login or the name " + w.Who}
	case 1:
		return named[0], nil
	}
	return models.Person{}, &exitError{2, fmt.Sprintf("tracewright: %d people are called %s: give the login, or choose one on the page People", len(named), w.Who)}
}
