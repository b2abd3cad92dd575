package storetest

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"
)

// Proxy stands between a client and a server, and breaks what goes through it in
// the ways a network does.
type Proxy struct {
	listener net.Listener
	dial     func() (net.Conn, error)

	mu       sync.Mutex
	open     map[*proxied]bool
	refuses  bool
	silent   chan struct{} // closed when it speaks again; nil while it does
	lose     []byte        // an answer that holds this is lost, with its connection
	lost     int
	cutAfter func() int // bytes that a new connection sends before it is cut; below 0: never
}

// proxied is a connection through it.
type proxied struct{ client, server net.Conn }

func (c *proxied) close() {
	c.client.Close()
	c.server.Close()
}

// ProxyPostgres stands before the server of an address, and gives the address of
// the same database through it.
func ProxyPostgres(t testing.TB, dsn string) (*Proxy, string) {
	t.Helper()
	config, err := pgconn.ParseConfig(dsn)
	if err != nil {
		t.Fatal(err)
	}
	network, address := pgconn.NetworkAddress(config.Host, config.Port)
	folder, err := os.MkdirTemp("/tmp", "twp.") // short: a socket's path may have 107 bytes
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(folder) })
	listener, err := net.Listen("unix", filepath.Join(folder, ".s.PGSQL.5432"))
	if err != nil {
		t.Fatal(err)
	}
	through := fmt.Sprintf("host=%s port=5432 user=%s dbname=%s sslmode=disable", folder, config.User, config.Database)
	if config.Password != "" {
		through += " password=" + config.Password
	}
	return proxy(t, listener, func() (net.Conn, error) { return (&net.Dialer{}).DialContext(context.Background(), network, address) }), through
}

// ProxyTCP stands before a server at an address of this machine, and gives an
// address of its own.
func ProxyTCP(t testing.TB, address string) (*Proxy, string) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return proxy(t, listener, func() (net.Conn, error) { return net.Dial("tcp", address) }), listener.Addr().String()
}

func proxy(t testing.TB, listener net.Listener, dial func() (net.Conn, error)) *Proxy {
	p := &Proxy{listener: listener, dial: dial, open: map[*proxied]bool{}}
	t.Cleanup(func() {
		listener.Close()
		p.Speak()
		p.Cut()
	})
	go func() {
		for {
			client, err := listener.Accept()
			if err != nil {
				return
			}
			go p.take(client)
		}
	}()
	return p
}

func (p *Proxy) take(client net.Conn) {
	p.mu.Lock()
	refuses, after := p.refuses, -1
	if p.cutAfter != nil {
		after = p.cutAfter()
	}
	p.mu.Unlock()
	if refuses {
		client.Close()
		return
	}
	server, err := p.dial()
	if err != nil {
		client.Close()
		return
	}
	c := &proxied{client, server}
	p.mu.Lock()
	p.open[c] = true
	p.mu.Unlock()
	defer func() {
		p.mu.Lock()
		delete(p.open, c)
		p.mu.Unlock()
	}()
	done := make(chan struct{})
	go func() {
		defer close(done)
		p.carry(c, server, client, false, after)
	}()
	p.carry(c, client, server, true, -1)
	<-done
}

// carry takes what one side says to the other, until either is gone.
func (p *Proxy) carry(c *proxied, to, from net.Conn, answers bool, after int) {
	defer c.close()
	buffer := make([]byte, 32<<10)
	for {
		n, err := from.Read(buffer)
		p.mu.Lock()
		silent, lose := p.silent, answers && p.lose != nil && bytes.Contains(buffer[:n], p.lose)
		if lose {
			p.lost++
		}
		p.mu.Unlock()
		if silent != nil {
			<-silent
		}
		if lose || err != nil && n == 0 {
			return
		}
		if after >= 0 && n > after {
			to.Write(buffer[:after]) // It is cut anyhow.
			return
		}
		if after >= 0 {
			after -= n
		}
		if _, err := to.Write(buffer[:n]); err != nil {
			return
		}
	}
}

// Cut cuts every connection; new ones are let through.
func (p *Proxy) Cut() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for c := range p.open {
		c.close()
	}
}

// Refuse cuts every connection and lets none through, or lets them through again.
func (p *Proxy) Refuse(refuses bool) {
	p.mu.Lock()
	p.refuses = refuses
	p.mu.Unlock()
	if refuses {
		p.Cut()
	}
}

// FallSilent carries nothing any more, and cuts nothing: a cable that was pulled.
func (p *Proxy) FallSilent() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.silent == nil {
		p.silent = make(chan struct{})
	}
}

// Speak ends that.
func (p *Proxy) Speak() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.silent != nil {
		close(p.silent)
		p.silent = nil
	}
}

// Lose loses each answer that holds these bytes, and cuts its connection: what was
// asked for is done, and nobody hears of it. Empty: none any more. It gives how
// many were lost since it was last called.
func (p *Proxy) Lose(answer string) (lost int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	lost, p.lost, p.lose = p.lost, 0, nil
	if answer != "" {
		p.lose = []byte(answer)
	}
	return lost
}

// CutAfter cuts each new connection once its client has sent so many bytes; below
// 0 it is not cut. Nil: none is.
func (p *Proxy) CutAfter(after func() int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.cutAfter = after
}
