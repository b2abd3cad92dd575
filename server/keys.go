package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"
	"time"

	"tracewright/models"
	"tracewright/models/work/sealing"
	"tracewright/server/keyring"
	"tracewright/server/logs"
)

type keysCommand struct {
	List   keysList   `cmd:"" help:"List every key of the log and what it may do."`
	Rotate keysRotate `cmd:"" help:"Make another key for this server; the present one vouches for it."`
	Enrol  keysEnrol  `cmd:"" help:"Let another server's key seal this log; the present one vouches for it."`
	Retire keysRetire `cmd:"" help:"End a key: what it signed stays good, it signs nothing more."`
}

// Help tells how a key is changed without a gap.
func (keysCommand) Help() string {
	return `Checkpoints of the log and certificates are signed by a key of the server. Each key joins the log by an entry that an older key signs, back to the first; whoever trusts the first can follow them all. Public keys are kept for ever, in the database, beside the private ones and beside the copies of checkpoints: they are files that end in .pub.

To change a key: rotate; the server signs with the new one from its next checkpoint on, without a stop. Retire the old one later, or never. Of a key that somebody may have copied, rotate and retire at once.`
}

// logFlags name a database and the keys of its log.
type logFlags struct {
	databaseFlag
	keysFlag
}

// with hands the service to f, over a database that is there.
func (l logFlags) with(ctx context.Context, std streams, f func(*sealing.Service) error) error {
	s, err := l.existing(ctx) // before a folder of keys is made beside what is not there
	if err != nil {
		return err
	}
	defer s.Close()
	if err := broughtUp(ctx, s); err != nil {
		return err
	}
	keys, err := l.keysFlag.open(l.Database)
	if err != nil {
		return err
	}
	err = f(sealing.New(s, sealing.Options{Keys: keys, Server: hostName(), Now: time.Now, Log: logs.New(std.err, "text", false)}))
	switch {
	case errors.Is(err, models.ErrNoKey):
		return &exitError{1, fmt.Sprintf("tracewright: no key in %s may sign for this log: run this where a server's own key lies", keys.Place())}
	case errors.Is(err, models.ErrNotFound):
		return &exitError{1, "tracewright: this database has no such key, or no sealed log yet: the first start of the server makes it"}
	}
	return err
}

type keysList struct{ logFlags }

// Run lists the keys, oldest first.
func (k *keysList) Run(ctx context.Context, std streams) error {
	return k.with(ctx, std, func(s *sealing.Service) error {
		known, here, err := s.ServerKeys(ctx)
		if err != nil {
			return err
		}
		table := tabwriter.NewWriter(std.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(table, "KEY\tSERVER\tSINCE\tVOUCHED FOR BY\tSTATE\tPRIVATE KEY")
		for i, key := range known {
			by := "nobody"
			if i == 0 {
				by = "the first"
			}
			if key.VouchedBy != nil {
				by = *key.VouchedBy
			}
			state := "signs"
			switch {
			case key.RetiredAt != nil:
				state = "retired " + key.RetiredAt.Format(time.DateOnly)
			case !key.Sealed:
				state = "waits for its seal"
			}
			where := "elsewhere"
			if here[key.ID] {
				where = "here"
			}
			fmt.Fprintf(table, "%s\t%s\t%s\t%s\t%s\t%s\n", key.ID, key.Server, key.EnrolledAt.Format(time.DateOnly), by, state, where)
		}
		return table.Flush()
	})
}

type keysRotate struct{ logFlags }

// Run makes another key.
func (k *keysRotate) Run(ctx context.Context, std streams) error {
	return k.with(ctx, std, func(s *sealing.Service) error {
		key, err := s.Rotate(ctx)
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s signs from the next checkpoint on; %s vouches for it and stays good until it is retired.\n", key.ID, *key.VouchedBy)
		return nil
	})
}

type keysEnrol struct {
	logFlags
	File   string `arg:"" optional:"" help:"The other server's public key: KEY.pub." type:"existingfile"`
	Server string `help:"Name of the other server, for the list." placeholder:"NAME" default:"another server" env:"-"`
	Alone  bool   `help:"Let the key of this server sign though nobody vouches for it: only where every older key is lost. The log says so for ever." env:"-"`
}

// Run lets a key join.
func (k *keysEnrol) Run(ctx context.Context, std streams) error {
	if (k.File == "") == !k.Alone {
		return &exitError{2, "tracewright: name the file of the other server's public key, or say --alone"}
	}
	return k.with(ctx, std, func(s *sealing.Service) error {
		if k.Alone {
			key, err := s.EnrolAlone(ctx)
			if err != nil {
				return err
			}
			fmt.Fprintf(std.out, "%s signs for this log, and nobody vouches for it: whoever verifies the log has to be given %s.pub.\n", key.ID, key.ID)
			return nil
		}
		public, err := keyring.ReadPublic(k.File)
		if err != nil {
			return err
		}
		key, err := s.Enrol(ctx, public, k.Server)
		if errors.Is(err, models.ErrConflict) {
			return &exitError{1, "tracewright: this key is enrolled already"}
		}
		if err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s of %s may sign; %s vouches for it.\n", key.ID, key.Server, *key.VouchedBy)
		return nil
	})
}

type keysRetire struct {
	logFlags
	Key string `arg:"" help:"Id of the key, as list shows it."`
}

// Run ends a key.
func (k *keysRetire) Run(ctx context.Context, std streams) error {
	return k.with(ctx, std, func(s *sealing.Service) error {
		if err := s.Retire(ctx, k.Key); err != nil {
			return err
		}
		fmt.Fprintf(std.out, "%s signs nothing more. Take its .key file away; its .pub file stays.\n", k.Key)
		return nil
	})
}
