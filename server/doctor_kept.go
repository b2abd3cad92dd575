package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/backup"
	"tracewright/models/work/sealing"
	"tracewright/server/keyring"
	"tracewright/server/trust"
)

// backups looks when the last good one was made, where, and whether the next can
// be.
func (d *doctor) backups(ctx context.Context, s *store.Store) {
	if s == nil {
		return
	}
	before := len(d.found)
	place := d.placeFor(s, d.Database, d.Keys, d.TLSFolder)
	state, err := backupService(s, nil).State(ctx)
	if err != nil {
		d.failed("backups", err)
		return
	}
	folder := d.Backups
	if place != nil {
		folder = place.folder
		d.folderOfBackups(ctx, s, place)
	}
	if last := state.LastGood; !d.NoDailyBackups && !last.IsZero() && d.now.Sub(last) > backup.Late {
		state.Trouble = append(state.Trouble, backup.TooOld)
	}
	for _, code := range state.Trouble {
		kind := bad
		if code == backup.NotSealed || code == backup.LabelAsked {
			kind = warning
		}
		r := models.NewRemark("backup_"+code, "folder", folder)
		if state.Restored != nil {
			r.Values["date"] = state.Restored.BackupAt.Format(time.DateOnly)
		}
		d.remark("backups", kind, r)
	}
	if _, err := s.ToolFor(ctx, "pg_dump"); errors.Is(err, store.ErrNoTool) && !d.NoDailyBackups {
		d.remark("backups", bad, models.NewRemark("backup_no_tool"))
	} else if err != nil && !errors.Is(err, store.ErrNoTool) {
		d.failed("backups", err)
	}
	if _, err := s.Setting(ctx, models.SettingBackupKey); errors.Is(err, models.ErrNotFound) {
		d.add("backups", warning, "no_recovery_key")
	} else if err != nil {
		d.failed("backups", err)
	}
	switch {
	case d.NoDailyBackups && state.LastGood.IsZero():
		d.add("backups", good, "backups_elsewhere")
	case state.LastGood.IsZero():
		d.add("backups", bad, "no_backup")
	case len(d.found) == before:
		d.add("backups", good, "backups", "date", state.LastGood.Format(time.DateOnly), "value", spanInWords(d.now.Sub(state.LastGood)), "folder", filepath.Dir(state.LastFile))
	}
}

// folderOfBackups looks whether the next one can be written.
func (d *doctor) folderOfBackups(ctx context.Context, s *store.Store, place *backupPlace) {
	if _, err := os.Stat(place.folder); err != nil && place.beside {
		return // It is made with the first.
	}
	if err := writable(place.folder); err != nil {
		d.remark("backups", bad, models.NewRemark("backup_"+backup.NoFolder, "folder", place.folder))
		return
	}
	service := backupService(s, place)
	if code := service.Away(ctx); code != "" {
		d.remark("backups", bad, models.NewRemark("backup_"+code, "folder", place.folder))
		return
	}
	last, err := service.LastHere(ctx)
	if err != nil {
		d.failed("backups", err)
		return
	}
	if last.File == "" {
		return
	}
	if info, err := os.Stat(last.File); err != nil || info.Size() != last.Size {
		d.add("backups", bad, "backup_gone", "file", last.File, "folder", place.folder)
	}
}

// keys looks whether the private keys can be read by their owner alone, and
// whether the log knows one that may sign.
func (d *doctor) keys(ctx context.Context, s *store.Store) {
	folder := d.Keys
	if folder == "" {
		folder = beside(d.Database, ".keys")
	}
	if folder == "" {
		d.add("keys", unknown, "keys_unnamed")
		return
	}
	before := len(d.found)
	d.checkpoints()
	if _, err := os.Stat(folder); err != nil {
		d.add("keys", bad, "no_keys", "folder", folder)
		return
	}
	ring, err := keyring.Open(folder)
	if err != nil {
		d.add("keys", bad, "keys_unreadable", "folder", folder, "cause", err.Error())
		return
	}
	if _, err := ring.All(); err != nil {
		d.add("keys", bad, "keys_unreadable", "folder", folder, "cause", err.Error())
		return
	}
	if s == nil {
		return
	}
	d.signing(ctx, s, ring)
	if len(d.found) > before {
		return
	}
	code := "keys"
	if !keyring.ModesTell {
		code = "keys_known"
	}
	d.add("keys", good, code, "folder", folder)
}

func (d *doctor) signing(ctx context.Context, s *store.Store, ring *keyring.Folder) {
	known, here, err := sealing.New(s, sealing.Options{Keys: ring, Now: time.Now}).ServerKeys(ctx)
	if err != nil {
		d.failed("keys", err)
		return
	}
	head, err := s.TrailHead(ctx)
	if errors.Is(err, models.ErrNotFound) {
		d.add("keys", warning, "log_not_begun")
		return
	}
	of, errOf := ring.Log()
	if err = errors.Join(err, errOf); err != nil {
		d.failed("keys", err)
		return
	}
	if of != "" && of != head.Log {
		d.add("keys", bad, "keys_of_another", "folder", ring.Place())
		return
	}
	for _, k := range known {
		if here[k.ID] && k.RetiredAt == nil {
			return
		}
	}
	d.add("keys", bad, "no_key_signs", "folder", ring.Place())
}

// checkpoints looks at the folder outside, where one is named.
func (d *doctor) checkpoints() {
	if d.Checkpoints == "" {
		return
	}
	if err := writable(d.Checkpoints); err != nil {
		d.add("keys", bad, "checkpoints", "folder", d.Checkpoints)
	}
}

const (
	// endsSoon is when somebody should see to a certificate that nothing renews here.
	endsSoon = 21 * 24 * time.Hour
	// authorityEndsSoon leaves time to have every tablet trust another.
	authorityEndsSoon = 365 * 24 * time.Hour
)

// certificate looks at what the server shows to browsers, and when that ends.
func (d *doctor) certificate() {
	folder := d.TLSFolder
	if folder == "" {
		folder = beside(d.Database, ".tls")
	}
	_, err := os.Stat(filepath.Join(folder, trust.ServerFile))
	switch {
	case d.TLSCert != "":
		pair, err := tls.LoadX509KeyPair(d.TLSCert, d.TLSKey)
		if err != nil {
			d.add("certificate", bad, "certificate_unusable", "cause", err.Error())
			return
		}
		d.ends(pair.Leaf, endsSoon, "certificate_ends")
	case d.TLS == "auto" || d.TLS == "" && folder != "" && err == nil:
		server, authority, err := trust.Read(folder)
		if err != nil {
			d.add("certificate", bad, "certificate_unusable", "cause", err.Error())
			return
		}
		d.ends(authority, authorityEndsSoon, "authority_ends")
		d.ends(server, endsSoon, "certificate_not_renewed")
	default:
		d.add("certificate", good, "no_certificate")
	}
}

func (d *doctor) ends(c *x509.Certificate, soon time.Duration, code string) {
	left := c.NotAfter.Sub(d.now)
	values := []string{"date", c.NotAfter.Format(time.DateOnly), "days", fmt.Sprint(int(left.Hours() / 24))}
	switch {
	case left <= 0:
		d.add("certificate", bad, "certificate_ended", values...)
	case d.now.Before(c.NotBefore):
		d.add("certificate", bad, "certificate_not_yet", "date", c.NotBefore.Format(time.DateOnly))
	case left < soon:
		d.add("certificate", warning, code, values...)
	default:
		d.add("certificate", good, "certificate", values...)
	}
}
