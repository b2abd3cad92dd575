package app

import (
	"context"

	"tracewright/models/store"
)

// ready says by a word each what keeps the server from working.
func (a *App) ready(ctx context.Context) []string {
	if err := a.Store.Ping(ctx); err != nil {
		a.config.Log.Warn("not ready: the database does not answer", "cause", err)
		return []string{"database"}
	}
	has, err := a.Store.SchemaVersion(ctx)
	if err != nil {
		a.config.Log.Warn("not ready: the database does not answer", "cause", err)
		return []string{"database"}
	}
	// A newer server may have brought the schema further: this one stands back.
	if wants, err := store.NewestSchema(); err != nil || has != wants {
		a.config.Log.Warn("not ready: the schema is another than this program's", "has", has, "wants", wants)
		return []string{"schema"}
	}
	return nil
}
