package main

import (
	"context"
	"fmt"
	"text/tabwriter"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/access"
)

type userCommand struct {
	Add        userAdd        `cmd:"" help:"Add a person and print the address at which they set their password."`
	List       userList       `cmd:"" help:"List everybody."`
	Password   userPassword   `cmd:"" help:"Print a new address at which a person sets their password."`
	Deactivate userDeactivate `cmd:"" help:"A person who left: may not sign in any more; what they did stays."`
}

// withAccess opens the database and hands the service of people to f.
func withAccess(ctx context.Context, database string, f func(*access.Service) error) error {
	s, err := store.Open(ctx, database, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	if _, err := s.Migrate(ctx); err != nil {
		return err
	}
	return f(access.New(s, time.Now, access.Cost{}))
}

type userAdd struct {
	databaseFlag
	Name  string `help:"Name, as certificates print it." required:""`
	Role  string `help:"What they may do: ${enum}." enum:"operator,inspector,desk,owner" required:""`
	Login string `help:"Login for the office; operators at a tablet need none."`
	At    string `help:"Address of the server, for the link." default:"http://localhost:8080"`
}

// Run adds the person.
func (u *userAdd) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := people.AddPerson(ctx, models.Actor{}, access.NewPerson{Name: u.Name, Role: models.Role(u.Role), Login: u.Login})
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s is added as %s.\n", p.Name, p.Role)
		if p.Login == nil {
			return nil
		}
		return printLink(ctx, std, people, p, u.At)
	})
}

func printLink(ctx context.Context, std streams, people *access.Service, p models.Person, at string) error {
	token, err := people.PasswordLink(ctx, models.Actor{}, p.ID)
	if err != nil {
		return err
	}
	fmt.Fprintf(std.out, "Within 24 hours, once, %s sets a password at\n\n  %s/setup/%s\n\n", p.Name, at, token)
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
		fmt.Fprintln(w, "NAME\tROLE\tLOGIN\tACTIVE")
		for _, p := range everybody {
			login, active := "-", "yes"
			if p.Login != nil {
				login = *p.Login
			}
			if !p.Active {
				active = "no"
			}
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", p.Name, p.Role, login, active)
		}
		return w.Flush()
	})
}

type userPassword struct {
	databaseFlag
	Login string `arg:"" help:"Login of the person."`
	At    string `help:"Address of the server, for the link." default:"http://localhost:8080"`
}

// Run prints a link.
func (u *userPassword) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := byLogin(ctx, people, u.Login)
		if err != nil {
			return err
		}
		return printLink(ctx, std, people, p, u.At)
	})
}

type userDeactivate struct {
	databaseFlag
	Login string `arg:"" help:"Login of the person."`
}

// Run ends what a person may do.
func (u *userDeactivate) Run(ctx context.Context, std streams) error {
	return withAccess(ctx, u.Database, func(people *access.Service) error {
		p, err := byLogin(ctx, people, u.Login)
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

func byLogin(ctx context.Context, people *access.Service, login string) (models.Person, error) {
	everybody, err := people.People(ctx)
	if err != nil {
		return models.Person{}, err
	}
	for _, p := range everybody {
		if p.Login != nil && *p.Login == login {
			return p, nil
		}
	}
	return models.Person{}, &exitError{2, "tracewright: nobody has the login " + login}
}
