package main

import (
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"log/slog"
	"net"
)

// listenPublic takes the address for strangers; nil where there is none.
func listenPublic(ctx context.Context, address string) (net.Listener, error) {
	if address == "" {
		return nil, nil
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen for strangers on %s: %w", address, err)
	}
	return listener, nil
}

// public speaks TLS to strangers by a certificate that they trust. One of the
// local authority is none: then a proxy in front has to have its own.
func (s speaks) public(listener net.Listener, proxied bool, out io.Writer, log *slog.Logger) net.Listener {
	address := listener.Addr()
	scheme := "http"
	if s.config != nil && s.authority == nil {
		scheme, listener = "https", tls.NewListener(listener, s.config)
	}
	if scheme == "http" && !proxied && !loopback(address) {
		log.Warn("answers strangers over plain HTTP: the addresses on certificates are https, so a proxy that speaks TLS must stand in front", "address", address.String())
	}
	fmt.Fprintf(out, "Certificates are looked up at %s://%s\n", scheme, reachable(address))
	return listener
}
