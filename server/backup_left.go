package main

import (
	"context"
	"path/filepath"
	"slices"

	"tracewright/models"
	"tracewright/server/backups"
)

// Left implements backup.Place.
func (p *backupPlace) Left(ctx context.Context, recipient string) (models.BackupRun, error) {
	var none models.BackupRun
	kept, err := backups.List(p.folder)
	if err != nil {
		return none, err
	}
	of, err := p.store.Facts(ctx)
	if err != nil || of.Log == "" { // Nothing tells whose a file is.
		return none, err
	}
	counts, err := p.store.Counts(ctx)
	if err != nil {
		return none, err
	}
	for _, k := range slices.Backward(kept) {
		if k.Kind != backups.Before {
			continue
		}
		path := filepath.Join(p.folder, k.Name)
		h, err := backups.Peek(path)
		if err != nil || h.Log != of.Log || h.Schema != of.Schema || h.Changes != of.Changes || h.Recipient != recipient || h.Size() != k.Size ||
			counts.Newest != nil && counts.Newest.After(h.At) { // Not sealed when it was made.
			continue
		}
		sum, err := backups.SumOf(path)
		return models.BackupRun{Kind: models.BackupBefore, BegunAt: h.At, EndedAt: h.At, File: path, Size: k.Size, SHA256: sum, Sealed: h.Sealed()}, err
	}
	return none, nil
}
