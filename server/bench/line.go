package bench

import (
	"bufio"
	"cmp"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"sync"
	"time"
)

const (
	// answerWithin bounds the wait for an answer.
	answerWithin = time.Minute
	// restsFor is how long a line may have been idle and be taken again: the server
	// hangs up at last.
	restsFor = 10 * time.Second
	// mostOfRefusal is how much is told of an answer that was not wanted.
	mostOfRefusal = 4096
)

// lines are connections to a server that are asked one thing after another. A tablet
// is a machine of its own and not what is measured, so that as little as can be is
// done here: what is sent is put together as text, and whoever asks reads the answer
// where the library's client has two more goroutines for each connection.
type lines struct {
	host string
	mu   sync.Mutex
	free []*line // the latest used is taken first
}

type line struct {
	conn  net.Conn
	in    *bufio.Reader
	out   []byte
	since time.Time // idle
	ends  bool      // the server said that it hangs up
}

// ask sends a request and takes the whole answer. The fields are lines of a header,
// each with its end.
func (l *lines) ask(ctx context.Context, method, path, fields, body string) (status int, answer []byte, err error) {
	on, err := l.take(ctx)
	if err != nil {
		return 0, nil, err
	}
	if err := on.conn.SetDeadline(time.Now().Add(answerWithin)); err != nil {
		on.conn.Close()
		return 0, nil, fmt.Errorf("%s %s: %w", method, path, err)
	}
	stop := context.AfterFunc(ctx, func() { on.conn.SetDeadline(time.Now()) })
	status, answer, err = on.ask(method, path, "Host: "+l.host+"\r\n"+fields, body)
	if !stop() || err != nil || on.ends || on.in.Buffered() > 0 {
		on.conn.Close()
	} else {
		l.give(on)
	}
	if err != nil {
		return 0, nil, fmt.Errorf("%s %s: %w", method, path, cmp.Or(ctx.Err(), err))
	}
	return status, answer, nil
}

func (l *lines) take(ctx context.Context) (*line, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	l.mu.Lock()
	for n := len(l.free); n > 0; n = len(l.free) {
		on := l.free[n-1]
		l.free = l.free[:n-1]
		if time.Since(on.since) < restsFor {
			l.mu.Unlock()
			return on, nil
		}
		on.conn.Close()
	}
	l.mu.Unlock()
	conn, err := (&net.Dialer{}).DialContext(ctx, "tcp", l.host)
	if err != nil {
		return nil, err
	}
	return &line{conn: conn, in: bufio.NewReaderSize(conn, 16<<10)}, nil
}

func (l *lines) give(on *line) {
	on.since = time.Now()
	l.mu.Lock()
	l.free = append(l.free, on)
	l.mu.Unlock()
}

// hangUp closes the lines that nobody asks on.
func (l *lines) hangUp() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, on := range l.free {
		on.conn.Close()
	}
	l.free = nil
}

func (on *line) ask(method, path, fields, body string) (int, []byte, error) {
	out := append(on.out[:0], method...)
	out = append(append(append(out, ' '), path...), " HTTP/1.1\r\n"...)
	out = append(append(out, fields...), "Content-Length: "...)
	out = append(strconv.AppendInt(out, int64(len(body)), 10), "\r\n\r\n"...)
	on.out = append(out, body...)
	if _, err := on.conn.Write(on.out); err != nil {
		return 0, nil, err
	}
	answer, err := http.ReadResponse(on.in, nil)
	for err == nil && answer.StatusCode < http.StatusOK { // Says that the answer is to come.
		answer, err = http.ReadResponse(on.in, nil)
	}
	if err != nil {
		return 0, nil, err
	}
	on.ends = answer.Close
	var told []byte
	if answer.StatusCode >= http.StatusBadRequest {
		if told, err = io.ReadAll(io.LimitReader(answer.Body, mostOfRefusal)); err != nil {
			return 0, nil, err
		}
	}
	if _, err = io.Copy(io.Discard, answer.Body); err != nil {
		return 0, nil, err
	}
	return answer.StatusCode, told, answer.Body.Close()
}
