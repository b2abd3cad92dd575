package logs

import (
	"context"
	"fmt"
	"io"
	"log/slog"
)

// New writes a line for each event, as text or as JSON; verbose also writes
// refusals and what led to them.
func New(w io.Writer, format string, verbose bool) *slog.Logger {
	options := &slog.HandlerOptions{Level: slog.LevelInfo}
	if verbose {
		options.Level = slog.LevelDebug
	}
	if format == "json" {
		return slog.New(cleaning{slog.NewJSONHandler(w, options)})
	}
	return slog.New(cleaning{slog.NewTextHandler(w, options)})
}

// cleaning takes out of every text what should not stand in a log.
type cleaning struct{ to slog.Handler }

// Enabled implements slog.Handler.
func (c cleaning) Enabled(ctx context.Context, level slog.Level) bool {
	return c.to.Enabled(ctx, level)
}

// Handle implements slog.Handler.
func (c cleaning) Handle(ctx context.Context, r slog.Record) error {
	cleaned := slog.NewRecord(r.Time, r.Level, Clean(r.Message), r.PC)
	r.Attrs(func(a slog.Attr) bool {
		cleaned.AddAttrs(cleanAttr(a))
		return true
	})
	return c.to.Handle(ctx, cleaned)
}

// WithAttrs implements slog.Handler.
func (c cleaning) WithAttrs(attrs []slog.Attr) slog.Handler {
	cleaned := make([]slog.Attr, len(attrs))
	for i, a := range attrs {
		cleaned[i] = cleanAttr(a)
	}
	return cleaning{c.to.WithAttrs(cleaned)}
}

// WithGroup implements slog.Handler.
func (c cleaning) WithGroup(name string) slog.Handler { return cleaning{c.to.WithGroup(name)} }

// own are attributes that this program makes of itself: a request's id, the stack
// of a panic.
var own = map[string]bool{"request": true, "stack": true, "route": true, "version": true}

func cleanAttr(a slog.Attr) slog.Attr {
	v := a.Value.Resolve()
	switch v.Kind() {
	case slog.KindGroup:
		group := v.Group()
		cleaned := make([]slog.Attr, len(group))
		for i, inner := range group {
			cleaned[i] = cleanAttr(inner)
		}
		return slog.Attr{Key: a.Key, Value: slog.GroupValue(cleaned...)}
	case slog.KindString, slog.KindAny:
		switch {
		case own[a.Key]:
			return a
		case a.Key == "address":
			return slog.String(a.Key, Address(v.String()))
		}
		return slog.String(a.Key, Clean(fmt.Sprint(v.Any())))
	}
	return a
}
