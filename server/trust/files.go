package trust

import (
	"crypto/tls"
	"fmt"
	"log/slog"
	"os"
	"sync"
	"time"
)

// checkFilesEvery is how often own files are looked at, at most, while
// connections come.
const checkFilesEvery = 10 * time.Second

// Files is a certificate of the shop's own, read anew when its files change: a
// program that renews it need not know this one.
type Files struct {
	certFile, keyFile string
	now               func() time.Time
	log               *slog.Logger

	mu      sync.Mutex
	pair    *tls.Certificate
	stamp   string // of the files as they were last tried
	checked time.Time
}

// OpenFiles reads a certificate chain and its key, PEM.
func OpenFiles(certFile, keyFile string, now func() time.Time, log *slog.Logger) (*Files, error) {
	if now == nil {
		now = time.Now
	}
	if log == nil {
		log = slog.Default()
	}
	f := &Files{certFile: certFile, keyFile: keyFile, now: now, log: log, checked: now(), stamp: stampOf(certFile, keyFile)}
	pair, err := tls.LoadX509KeyPair(certFile, keyFile)
	if err != nil {
		return nil, fmt.Errorf("read the certificate for TLS: %w", err)
	}
	f.pair = &pair
	return f, nil
}

// Config is for a listener of the server.
func (f *Files) Config() *tls.Config {
	return &tls.Config{GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return f.current(), nil }, MinVersion: tls.VersionTLS12, NextProtos: []string{"h2", "http/1.1"}}
}

// current is the certificate in use. Files that do not fit together, as while
// they are being replaced, are written down once, and the former stays.
func (f *Files) current() *tls.Certificate {
	f.mu.Lock()
	defer f.mu.Unlock()
	now := f.now()
	if now.Sub(f.checked).Abs() < checkFilesEvery {
		return f.pair
	}
	f.checked = now
	stamp := stampOf(f.certFile, f.keyFile)
	if stamp == f.stamp {
		return f.pair
	}
	f.stamp = stamp
	pair, err := tls.LoadX509KeyPair(f.certFile, f.keyFile)
	if err != nil {
		f.log.Error("the changed certificate for TLS cannot be used; the former stays", "cause", err)
		return f.pair
	}
	f.log.Info("read the changed certificate for TLS", "until", pair.Leaf.NotAfter.Format(time.DateOnly))
	f.pair = &pair
	return f.pair
}

// stampOf changes when a file does.
func stampOf(files ...string) string {
	stamp := ""
	for _, file := range files {
		if info, err := os.Stat(file); err == nil {
			stamp += fmt.Sprintf("%d %d;", info.ModTime().UnixNano(), info.Size())
		} else {
			stamp += "gone;"
		}
	}
	return stamp
}
