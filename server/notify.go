package main

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"os"
	"strings"
)

// tellManager tells the manager of services that started this program that it
// answers, and once ctx ends that it stops, by the protocol of sd_notify(3). What
// comes back ends the telling. Without a manager that asks for it nothing happens.
func tellManager(ctx context.Context, log *slog.Logger) (end func()) {
	socket := os.Getenv("NOTIFY_SOCKET")
	if socket == "" {
		return func() {}
	}
	tell := func(state string) {
		if err := notify(socket, state); err != nil {
			log.Warn("the manager of services was not told", "state", state, "cause", err)
		}
	}
	tell("READY=1")
	stop := context.AfterFunc(ctx, func() { tell("STOPPING=1") })
	return func() { stop() }
}

// notify sends one message to the socket of a manager. A name that begins with @
// lies in Linux's abstract namespace, as the net package writes it too.
func notify(socket, state string) error {
	if !strings.HasPrefix(socket, "/") && !strings.HasPrefix(socket, "@") {
		return fmt.Errorf("NOTIFY_SOCKET names no socket of a kind that is known here")
	}
	conn, err := net.DialUnix("unixgram", nil, &net.UnixAddr{Name: socket, Net: "unixgram"})
	if err != nil {
		return err
	}
	defer conn.Close()
	_, err = conn.Write([]byte(state))
	return err
}
