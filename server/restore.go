package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/server/backups"
)

type restoreCommand struct {
	File string `arg:"" help:"The backup." type:"path"`
	databaseFlag
	keysFlag
	TLSFolder string `help:"Where the authority of --tls auto goes, if not beside the SQLite file." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_TLS_FOLDER" name:"tls-folder"`
	recoveryFlag
	LastLabel     []string `help:"Last serial that was printed before the loss, as it stands on its label; may be repeated, one of each kind." placeholder:"SERIAL" env:"-"`
	Forward       int      `help:"By how much counters go on. Where this backup was put back before, and numbers were given out since: 1,000 more for each time." default:"1000" placeholder:"N" env:"-"`
	RevokeDevices bool     `help:"Revoke every tablet and gauge: each has to be enrolled again." env:"-"`
	Anyway        bool     `help:"Put it back although its records are not those that its log speaks of." env:"-"`
}

// Help tells what is done, and what is lost.
func (restoreCommand) Help() string {
	return `Puts a backup back into an empty place: a SQLite file that does not exist yet, or an empty PostgreSQL database. The whole is opened and verified first; what is not whole or not sound is refused, and nothing is written.

  tracewright restore /media/usb/daily-20270524T010000Z.twbackup --database sqlite:/srv/tracewright/shop.db

What was done after the backup is not in it. So that no number is given out twice, the counters of serials, certificates, shipments, recalls, claims, nonconformities and corrective actions go on 1,000 further; and the last printed label is asked for, since a roll may reach beyond that. A backup that was put back before, and worked with since, would give those numbers out again: name --forward 2000 then. The server makes a backup of what was put back within minutes, so that this is seldom needed. The log of changes tells of the restoration for ever.

Everybody has to sign in again. Tablets and gauges stay enrolled, so that they can send what waits in them; one that was revoked after the backup is good again, as are a person who was deactivated and a password that was changed since: look at the pages "Tablets" and "People". --revoke-devices revokes all.

Copies of checkpoints that were made after the backup speak of changes that are lost: start the server with another folder for --checkpoints, and keep the older one.`
}

// mostForward leaves a year's serials, of five digits, their room.
const mostForward = 20_000

// Run puts the backup back.
func (r *restoreCommand) Run(ctx context.Context, std streams) error {
	header, err := peek(ctx, r.File)
	if err != nil {
		return err
	}
	for _, label := range r.LastLabel { // A slip of the finger is told before anything is done.
		if err := backup.CheckLabel(label); err != nil {
			return err
		}
	}
	if r.Forward < models.RestorationForward || r.Forward > mostForward {
		return &exitError{2, fmt.Sprintf("tracewright: --forward is a number from %d to %d", models.RestorationForward, mostForward)}
	}
	place, err := r.place(header)
	if err != nil {
		return err
	}
	if err := place.empty(ctx); err != nil {
		return err
	}
	// After a loss the folder is gone with the rest.
	if err := os.MkdirAll(place.beside, 0o700); err != nil {
		return err
	}
	in := linesOf(ctx, std)
	u, err := r.unpack(ctx, r.File, place.beside, in, std)
	if err != nil {
		return err
	}
	defer u.remove()
	if err := r.put(ctx, u, place, in, std); err != nil {
		return err
	}
	r.whatIsMissing(u, place, std.out)
	fmt.Fprintf(std.out, "Put back at %s. Start the server there; everybody signs in again.\n", place.name)
	return nil
}

// whatIsMissing says what a server needs that is not there, and what was left out.
func (r *restoreCommand) whatIsMissing(u *unpacked, place restorePlace, out io.Writer) {
	if !u.Header.Sealed() && u.Header.Log != "" {
		fmt.Fprintf(out, "The backup holds no private keys, and without one that the log of changes knows no server starts. Where this shop's folder of keys is kept, copy it to %s; only where it is lost, run once\n  tracewright keys enrol --alone%s\n", place.keys, typedFlags(r.Database, r.Keys))
	}
	if _, err := os.Stat(u.path("tls")); err == nil && place.tls == "" {
		fmt.Fprintln(out, "The authority of --tls auto is in the backup and was left out, for no --tls-folder was named: every tablet would have to trust another. To have it, empty the database and run this again with --tls-folder.")
	}
}

// put opens the database, makes it fit to go on and moves it to its place.
func (r *restoreCommand) put(ctx context.Context, u *unpacked, place restorePlace, in *lines, std streams) (err error) {
	s, err := u.database(ctx, r.Database)
	if err != nil {
		return err
	}
	done := false
	defer func() {
		if !done && s.Dialect() == store.Postgres { // It was empty before.
			err = errors.Join(err, s.Clear(context.WithoutCancel(ctx)))
		}
		s.Close()
	}()
	if err := r.sound(ctx, u, s); err != nil {
		return err
	}
	counts, err := s.Counts(ctx)
	if err != nil {
		return err
	}
	fmt.Fprint(std.out, u.holds(counts))
	if err := r.goOn(ctx, u, s, in, std); err != nil {
		return err
	}
	if s.Dialect() == store.SQLite {
		if err := s.Close(); err != nil { // All of it into the one file.
			return err
		}
	}
	err = place.take(ctx, u, s)
	done = err == nil
	return err
}

// sound refuses what is not as the log says.
func (r *restoreCommand) sound(ctx context.Context, u *unpacked, s *store.Store) error {
	if r.Anyway {
		return nil
	}
	report, err := u.verified(ctx, s)
	switch code := firstFault(report); {
	case errors.Is(err, errNoKeys):
		return refused("backup_no_public_keys", "file", filepath.Base(u.file))
	case err != nil:
		return err
	case code != "":
		return refused("backup_not_sound", "file", filepath.Base(u.file), "code", string(code))
	}
	return nil
}

// goOn writes the restoration down and asks for the last label.
func (r *restoreCommand) goOn(ctx context.Context, u *unpacked, s *store.Store, in *lines, std streams) error {
	service := backupService(s, nil)
	restored, err := service.Restored(ctx, models.Actor{}, models.Restoration{BackupAt: u.Header.At, BackupSHA256: u.SHA256, BackupProgram: u.Header.Program,
		BackupSchema: u.Header.Schema, Changes: u.Header.Changes, Forward: r.Forward})
	if err != nil {
		return err
	}
	fmt.Fprintf(std.out, "The log of changes tells of it. Serials, certificates and all other numbers go on %d further.\n", restored.Forward)
	given := r.LastLabel
	asks := "Last serial that was printed before the loss, as it stands on its label; empty: later, at the desk:"
	for len(r.LastLabel) == 0 {
		fmt.Fprintln(std.err, asks)
		typed, _ := in.next()
		if typed == "" {
			break
		}
		if err := backup.CheckLabel(typed); err != nil {
			sayProblems(std.err, err)
			continue
		}
		given, asks = append(given, typed), "That of another kind, if any was printed; empty: none:"
	}
	for _, label := range given {
		if _, err := service.GiveLabel(ctx, models.Actor{}, label); err != nil {
			return err
		}
	}
	if len(given) == 0 {
		fmt.Fprintln(std.out, "The last printed label was not given: it must be given at the desk, where Today asks for it, before labels are printed.")
	}
	if err := r.customers(ctx, s, restored, std.out); err != nil {
		return err
	}
	return r.devices(ctx, s, restored, std.out)
}

// customers says that who was erased since is there again: no record outside the
// database names them.
func (r *restoreCommand) customers(ctx context.Context, s *store.Store, restored models.Restoration, out io.Writer) error {
	n, err := s.CustomersKept(ctx)
	if n > 0 {
		fmt.Fprintf(out, "Customers: %d. Whoever was erased after %s is among them again: erase them once more.\n", n, words.Date(restored.BackupAt.Format("2006-01-02")))
	}
	return err
}

func (r *restoreCommand) devices(ctx context.Context, s *store.Store, restored models.Restoration, out io.Writer) error {
	since := words.Date(restored.BackupAt.Format("2006-01-02"))
	if r.RevokeDevices {
		n, err := s.RevokeDevices(ctx, models.NewStamp(models.Actor{}, restored.RestoredAt))
		fmt.Fprintf(out, "Tablets and gauges revoked: %d. Enrol each again. Look at the page \"People\" for whoever was deactivated after %s.\n", n, since)
		return err
	}
	n, err := s.DevicesEnrolled(ctx)
	fmt.Fprintf(out, "Tablets and gauges that stay enrolled: %d. Revoke again what was revoked after %s, and look at the page \"People\" for whoever was deactivated since.\n", n, since)
	return err
}

// restorePlace is where a backup is put back.
type restorePlace struct {
	name      string
	database  string // file; empty with PostgreSQL
	address   string // of PostgreSQL
	beside    string // folder for what lies open on the way, on the same disk
	keys, tls string // folders
}

func (r *restoreCommand) place(h backups.Header) (restorePlace, error) {
	file, isFile := sqliteFile(r.Database)
	switch {
	case isFile && h.Database == store.Postgres:
		return restorePlace{}, refused("backup_other_kind", "file", filepath.Base(r.File), "kind", "PostgreSQL", "example", "postgres://USER@HOST/NAME")
	case !isFile && h.Database == store.SQLite:
		return restorePlace{}, refused("backup_other_kind", "file", filepath.Base(r.File), "kind", "SQLite", "example", "sqlite:PATH")
	case !isFile && r.Keys == "":
		return restorePlace{}, &exitError{2, "tracewright: this database needs --keys: the folder where the server's keys go"}
	case !isFile:
		return restorePlace{name: "the database", address: r.Database, beside: filepath.Dir(filepath.Clean(r.Keys)), keys: r.Keys, tls: r.TLSFolder}, nil
	}
	// Where the file is a link, it lies where that leads.
	return restorePlace{name: file, database: behindLink(file), beside: filepath.Dir(behindLink(file)), keys: cmp.Or(r.Keys, beside(r.Database, ".keys")), tls: cmp.Or(r.TLSFolder, beside(r.Database, ".tls"))}, nil
}

// empty refuses a place where anything is.
func (p restorePlace) empty(ctx context.Context) error {
	if p.database == "" {
		s, err := store.Open(ctx, p.address, store.Options{})
		if err != nil {
			return err
		}
		defer s.Close()
		if empty, err := s.Empty(ctx); err != nil || !empty {
			return orError(err, refused("backup_not_empty", "place", "what is in it"))
		}
	} else {
		for _, end := range []string{"", "-wal", "-shm"} {
			if _, err := os.Lstat(p.database + end); !errors.Is(err, fs.ErrNotExist) {
				return orError(err, refused("backup_not_empty", "place", p.database+end))
			}
		}
	}
	for code, folder := range map[string]string{"backup_keys_there": p.keys, "backup_tls_there": p.tls} {
		entries, err := os.ReadDir(folder)
		if err != nil && !errors.Is(err, fs.ErrNotExist) && folder != "" {
			return err
		}
		if len(entries) > 0 {
			return refused(code, "folder", folder)
		}
	}
	return nil
}

func orError(err, otherwise error) error {
	if err != nil {
		return err
	}
	return otherwise
}

// take moves what lies open to its place: the keys first, the database last, so
// that there is none before all is there. Where that fails, nothing stays behind.
func (p restorePlace) take(ctx context.Context, u *unpacked, s *store.Store) (err error) {
	var made []string
	defer func() {
		if err == nil {
			return
		}
		for _, path := range made {
			os.Remove(path)
		}
	}()
	for name, to := range map[string]string{"keys": p.keys, "tls": p.tls} {
		if to == "" || !u.Header.Sealed() {
			continue
		}
		if err := copyFolder(u.path(name), to, &made); err != nil {
			return fmt.Errorf("put the %s back: %w", name, err)
		}
	}
	if p.database == "" {
		return s.RestorationEnded(ctx)
	}
	if err := backups.Place(u.path("database.sqlite"), p.database); err != nil {
		return fmt.Errorf("put the database back: %w", err)
	}
	return nil
}

// copyFolder makes a folder for its owner alone, with the files of another, and
// notes which it made; one that is not there makes none.
func copyFolder(from, to string, made *[]string) error {
	entries, err := os.ReadDir(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		err = os.MkdirAll(to, 0o700)
	}
	for _, e := range entries {
		if err != nil {
			return err
		}
		var raw []byte
		if raw, err = os.ReadFile(filepath.Join(from, e.Name())); err != nil {
			return err
		}
		path := filepath.Join(to, e.Name())
		if err = backups.WriteFile(path, raw); !errors.Is(err, fs.ErrExist) { // What was there is another's.
			*made = append(*made, path)
		}
	}
	return err
}
