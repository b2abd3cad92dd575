package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/words"
	"tracewright/models/work/backup"
	"tracewright/reports/pdf"
	"tracewright/reports/recovery"
	"tracewright/server/backups"
)

type backupCommand struct {
	Database string `help:"Where the records lie: sqlite:PATH or postgres://USER@HOST/NAME. With --check, a server on which a database may be made for a moment." placeholder:"URL" env:"TRACEWRIGHT_DATABASE"`
	keysFlag
	TLSFolder string `help:"Where --tls auto keeps its authority, if not beside the SQLite file." placeholder:"FOLDER" type:"path" env:"TRACEWRIGHT_TLS_FOLDER" name:"tls-folder"`
	backupsFlag
	To     string `help:"Write this file instead of one in the folder." placeholder:"FILE" type:"path" env:"-" xor:"what"`
	NewKey bool   `help:"Make the recovery key, and print it once." env:"-" xor:"what"`
	Sheet  string `help:"With --new-key: write the key as a sheet to be printed, a PDF, into this file and not on the console." placeholder:"FILE" type:"path" env:"-"`
	Check  string `help:"Open a backup in a temporary place and verify everything in it." placeholder:"FILE" type:"path" env:"-" xor:"what"`
	recoveryFlag
}

// Help tells what a backup is and what it takes.
func (backupCommand) Help() string {
	return `A backup is one file: the database as it was when the backup began, the server's keys, and a sum of each part. It is made while the server runs; a server on SQLite makes one each day by itself.

  First, once   tracewright backup --new-key --sheet recovery-key.pdf --database sqlite:/srv/tracewright/shop.db
  By hand       tracewright backup --database sqlite:/srv/tracewright/shop.db --backups /media/usb
  Look at one   tracewright backup --check /media/usb/daily-20270524T010000Z.twbackup
  Put it back   tracewright restore /media/usb/daily-20270524T010000Z.twbackup --database sqlite:/srv/new/shop.db

The key can be made on the pages instead, under Backups.

The recovery key opens every backup of its time, and nothing else does: print it, keep it away from this computer and from the backups. The shop keeps only the half that encrypts, so that a daily backup is checked before it is encrypted, and its file for holding what was put in; that the records in it are sound is what --check tells, for which the key is typed in, or read from --key-file.

PostgreSQL is copied by its own pg_dump, which has to be here in the server's version or a later one.

Exit status 0: made, or sound. 1: not. 2: it could not be looked at.`
}

// Run does the one that was asked for.
func (b *backupCommand) Run(ctx context.Context, std streams) error {
	if b.Sheet != "" && !b.NewKey { // Whoever names it waits for a sheet with the key in force, which nobody can draw again.
		return &exitError{2, "tracewright: --sheet goes with --new-key: a key is shown once, when it is made"}
	}
	if b.Check != "" {
		return b.check(ctx, std)
	}
	if b.Database == "" {
		return &exitError{2, "tracewright: missing flags: --database=URL"}
	}
	s, err := databaseFlag{b.Database}.existing(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	if _, err := s.MigrationStatus(ctx); err != nil { // Not of a newer version.
		return err
	}
	if b.NewKey {
		return b.newKey(ctx, s, std)
	}
	return b.make(ctx, s, std)
}

func (b *backupCommand) make(ctx context.Context, s *store.Store, std streams) error {
	place := b.placeFor(s, b.Database, b.Keys, b.TLSFolder)
	if place == nil {
		return &exitError{2, "tracewright: name a folder with --backups, or a file with --to, and the folder of the server's keys with --keys"}
	}
	place.file = b.To
	run, err := backupService(s, place).Make(ctx, models.BackupAsked)
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		return &exitError{1, fmt.Sprintf("tracewright: %s\n%v", troubleInWords(err, or(filepath.Dir(b.To), place.folder, b.To != "")), errors.Unwrap(err))}
	}
	how := "encrypted to the recovery key"
	if !run.Sealed {
		how = "in the clear and without private keys, for there is no recovery key yet: tracewright backup --new-key"
	}
	fmt.Fprintf(std.out, "%s\n%s, %s.\nEverything that was acknowledged before %s is in it. The copy was looked through, and the file holds what was put in.\n",
		run.File, words.Bytes(run.Size), how, run.BegunAt.Format("2006-01-02 15:04:05 UTC"))
	return nil
}

func or(a, b string, first bool) string {
	if first {
		return a
	}
	return b
}

// troubleInWords says why no backup was made.
func troubleInWords(err error, folder string) string {
	code := backup.Failed
	var trouble *backup.TroubleError
	if errors.As(err, &trouble) {
		code = trouble.Code
	}
	if code == backup.Failed {
		return err.Error()
	}
	return words.In("en").Remark(models.NewRemark("backup_"+code, "folder", folder))
}

// newKey makes the recovery key and prints it, once.
func (b *backupCommand) newKey(ctx context.Context, s *store.Store, std streams) error {
	if err := broughtUp(ctx, s); err != nil {
		return err
	}
	key, err := backups.NewRecovery()
	if err != nil {
		return err
	}
	service := backupService(s, nil)
	before, err := service.PublicKey(ctx)
	if err != nil {
		return err
	}
	if b.Sheet != "" {
		err = b.drawKey(ctx, s, std.out, key)
	} else {
		err = printKey(std.out, key)
	}
	if err != nil {
		return err
	}
	if before != "" {
		fmt.Fprintln(std.out, "This key takes the place of another: keep the older one for as long as backups of its time are kept.")
	}
	// From here on backups are encrypted to it: whoever is to keep it has it.
	if err := onDisk(std.out); err != nil {
		return err
	}
	err = service.UseKey(ctx, models.Actor{}, before, key.Recipient())
	if errors.Is(err, models.ErrConflict) {
		return &exitError{1, "tracewright: another recovery key was made meanwhile: throw this one away"}
	}
	return err
}

// recoveryKeys makes keys for a page that shows each once.
type recoveryKeys struct{}

// New implements backup.Keys.
func (recoveryKeys) New() (models.RecoverySheet, error) {
	key, err := backups.NewRecovery()
	if err != nil {
		return models.RecoverySheet{}, err
	}
	return sheetOf(key), nil
}

// Is implements backup.Keys.
func (recoveryKeys) Is(public string) bool { return backups.IsRecipient(public) }

func sheetOf(key backups.Recovery) models.RecoverySheet {
	return models.RecoverySheet{Secret: key.Secret(), Lines: key.Lines(), Public: key.Recipient()}
}

// drawKey writes the key as a sheet to be printed, for this account alone.
func (b *backupCommand) drawKey(ctx context.Context, s *store.Store, out io.Writer, key backups.Recovery) error {
	name, err := s.Setting(ctx, models.SettingShopName)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return err
	}
	now, sheet := time.Now(), sheetOf(key)
	sheet.Shop, sheet.Made = name, now.Format(time.DateOnly)
	drawn, err := recovery.Draw(sheet, now, nil)
	if err != nil {
		return err
	}
	if err := backups.WriteFile(b.Sheet, drawn); err != nil {
		return fmt.Errorf("write the sheet: %w", err)
	}
	_, err = fmt.Fprintf(out, "%s\nPrint this sheet now, keep it neither on this computer nor beside the backups, and delete the file: whoever has it and a backup can read everything; without it no backup can be opened.\nIts public half, which the shop keeps: %s\n", b.Sheet, key.Recipient())
	return err
}

// printKey writes the key as a QR code and as lines to be typed.
func printKey(out io.Writer, key backups.Recovery) error {
	symbol, err := pdf.QRSymbol(key.Secret())
	if err != nil {
		return err
	}
	var text strings.Builder
	fmt.Fprintf(&text, "RECOVERY KEY of Tracewright backups, made on %s\n\n%s\n", time.Now().Format(time.DateOnly), inHalfBlocks(symbol))
	for n, line := range key.Lines() {
		fmt.Fprintf(&text, "  %d   %s\n", n+1, line)
	}
	fmt.Fprintf(&text, `
The last two characters of each line are its check. The letters B, I and O and the digit 1 do not occur.
Its public half, which the shop keeps: %s

Print this or write it down now: it is shown once and kept nowhere. Whoever has it and a backup can read everything; without it no backup can be opened. Keep it neither on this computer nor beside the backups.
`, key.Recipient())
	_, err = io.WriteString(out, text.String())
	return err
}

// onDisk has what was written to a file reach the disk; a terminal or a pipe has none.
func onDisk(out io.Writer) error {
	if r, wrapped := out.(*remembering); wrapped {
		out = r.Writer
	}
	file, isFile := out.(*os.File)
	if !isFile {
		return nil
	}
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return err
	}
	return file.Sync()
}

// inHalfBlocks draws a code dark on light, whatever the colours of the terminal,
// two modules in the height of a letter, within its quiet zone.
func inHalfBlocks(s pdf.Symbol) string {
	const quiet = 4
	dark := func(x, y int) bool {
		x, y = x-quiet, y-quiet
		return y >= 0 && y < len(s) && x >= 0 && x < s.Columns() && s[y][x]
	}
	var b strings.Builder
	for y := 0; y < len(s)+2*quiet; y += 2 {
		b.WriteString("\x1b[30;47m")
		for x := range s.Columns() + 2*quiet {
			switch upper, lower := dark(x, y), dark(x, y+1); {
			case upper && lower:
				b.WriteRune('█')
			case upper:
				b.WriteRune('▀')
			case lower:
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	return b.String()
}

// recoveryFlag is how the recovery key comes in: never as an argument, which
// others can read.
type recoveryFlag struct {
	KeyFile string `help:"File with the recovery key, as lines or as the text of the QR code. Otherwise it is asked for." placeholder:"FILE" type:"path" env:"-"`
}

// key reads the key that a backup wants.
func (r recoveryFlag) key(in *lines, std streams) (backups.Recovery, error) {
	typed := ""
	if r.KeyFile != "" {
		raw, err := os.ReadFile(r.KeyFile)
		if err != nil {
			return backups.Recovery{}, err
		}
		typed = withoutRemarks(string(raw))
	} else {
		fmt.Fprintln(std.err, "Recovery key, line by line as it is printed, or the text of the QR code:")
		for {
			line, more := in.next()
			typed += line + "\n"
			if _, err := backups.ParseRecovery(typed); err == nil || !more || strings.TrimSpace(line) == "" {
				break
			}
		}
	}
	key, err := backups.ParseRecovery(typed)
	var wrong *backups.LineError
	switch {
	case errors.As(err, &wrong):
		return key, refused("backup_key_line", "n", fmt.Sprint(wrong.Line))
	case err != nil:
		return key, refused("backup_key_form")
	}
	return key, nil
}

// withoutRemarks leaves out lines that begin with #, as files of such keys have.
func withoutRemarks(text string) string {
	var kept []string
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(strings.TrimSpace(line), "#") {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "")
}

// refused says by a code why something cannot be done; values are name, value
// pairs.
func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}
