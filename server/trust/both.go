package trust

import (
	"bufio"
	"errors"
	"net"
	"sync"
	"syscall"
	"time"
)

const (
	// handshake is the first byte of every TLS connection: a record of type
	// handshake (RFC 8446, 5.1). No request of HTTP begins with it.
	handshake = 0x16
	// firstByteWithin is how long a connection may stay silent.
	firstByteWithin = 10 * time.Second
)

// Both splits what arrives at a listener by its first byte: connections that
// begin with a TLS handshake, and all others. A tablet that was given the
// address without "https" is so told where to go, and can fetch the authority's
// certificate before it trusts it, at the same port.
//
// Closing either closes the listener and both.
func Both(listener net.Listener) (secure, plain net.Listener) {
	b := &both{listener: listener, done: make(chan struct{})}
	s, p := &half{both: b, arrived: make(chan net.Conn)}, &half{both: b, arrived: make(chan net.Conn)}
	go b.accept(s, p)
	return s, p
}

type both struct {
	listener net.Listener
	once     sync.Once
	done     chan struct{}
	failed   error // set before done is closed
}

func (b *both) stop(cause error) {
	b.once.Do(func() {
		b.failed = cause
		close(b.done)
		b.listener.Close()
	})
}

func (b *both) accept(secure, plain *half) {
	for {
		conn, err := b.listener.Accept()
		if err != nil {
			if passes(err) {
				time.Sleep(5 * time.Millisecond)
				continue
			}
			b.stop(err)
			return
		}
		go b.sort(conn, secure, plain)
	}
}

// passes says whether a listener that failed to accept may be asked again: one
// connection broke off, or there are too many at this moment.
func passes(err error) bool {
	for _, e := range []syscall.Errno{syscall.EMFILE, syscall.ENFILE, syscall.ECONNABORTED, syscall.ECONNRESET, syscall.ENOBUFS, syscall.ENOMEM} {
		if errors.Is(err, e) {
			return true
		}
	}
	var wait net.Error
	return errors.As(err, &wait) && wait.Timeout()
}

func (b *both) sort(conn net.Conn, secure, plain *half) {
	conn.SetReadDeadline(time.Now().Add(firstByteWithin))
	peeked := &peekedConn{Conn: conn, read: bufio.NewReaderSize(conn, 16)}
	first, err := peeked.read.Peek(1)
	if err != nil {
		conn.Close()
		return
	}
	conn.SetReadDeadline(time.Time{})
	to := plain
	if first[0] == handshake {
		to = secure
	}
	select {
	case to.arrived <- peeked:
	case <-b.done:
		conn.Close()
	}
}

// peekedConn is a connection whose first byte was looked at.
type peekedConn struct {
	net.Conn
	read *bufio.Reader
}

func (c *peekedConn) Read(p []byte) (int, error) { return c.read.Read(p) }

// half is one of the two listeners.
type half struct {
	*both
	arrived chan net.Conn
}

func (h *half) Accept() (net.Conn, error) {
	select {
	case conn := <-h.arrived:
		return conn, nil
	case <-h.done:
		return nil, h.failed
	}
}

func (h *half) Close() error {
	h.stop(net.ErrClosed)
	return nil
}

func (h *half) Addr() net.Addr { return h.listener.Addr() }
