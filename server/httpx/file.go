package httpx

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"time"

	"github.com/gin-gonic/gin"
	"golang.org/x/sync/semaphore"

	"tracewright/models"
)

// File is a file as a request brought it, with the other fields of its form.
type File struct {
	Name     string
	Bytes    []byte
	TooLarge bool // the bytes were read to their end and thrown away
	Fields   url.Values
}

const (
	// sendWithin is how long a file may take: a phone at the far end of the shop.
	sendWithin = 4 * time.Minute
	// filesHeld bounds the memory that files take while they are read: as many as
	// come at once, by the length each says it has, so that a few phones at the far
	// end of the shop do not keep everybody else's photos out.
	filesHeld  = 80 << 20
	leastFile  = 256 << 10 // what one counts at least: it has a connection and a goroutine too
	longerFor  = 4         // a list may have 20,000 rows, which a busy machine takes half a minute for
	mostFields = 60
	longField  = 16 << 10
)

// Pasted is the field of a form that holds a text in a file's stead. A file that
// was chosen comes before it.
const Pasted = "pasted"

var filesRead = semaphore.NewWeighted(filesHeld)

// ReadFile reads the first file of a multipart form that has any bytes, a text
// that was pasted in its stead, or, of any other kind of body, the body itself. Of a file with more than most bytes
// no more than that is held in memory: it comes back as TooLarge, read to its
// end so that a browser hears the answer. The route must be marked File. What
// follows in the handler has a place as any request has, and longerFor times its time.
func ReadFile(c *gin.Context, most int64) (File, error) {
	ctx := c.Request.Context()
	// Who sends a file, or waits until it may, does no work meanwhile.
	if p, ok := c.Get(placeKey); ok {
		p.(*place).leave()
	}
	file, err := readFile(c, most)
	if err != nil {
		return file, err
	}
	return file, workAgain(ctx, c)
}

func readFile(c *gin.Context, most int64) (File, error) {
	takes := most
	if says := c.Request.ContentLength; says >= 0 {
		takes = min(says, most)
	}
	takes = min(max(takes, leastFile), filesHeld)
	if err := filesRead.Acquire(c.Request.Context(), takes); err != nil {
		return File{}, fmt.Errorf("%d MB of files at once: %w", filesHeld>>20, errBusy)
	}
	defer filesRead.Release(takes)
	allowTime(c)
	form, err := c.Request.MultipartReader()
	if errors.Is(err, http.ErrNotMultipart) {
		out := File{Fields: url.Values{}}
		out.Bytes, out.TooLarge, err = readMost(c.Request.Body, most)
		return out, brokenOff(err)
	}
	if err != nil {
		return File{}, fmt.Errorf("read a form: %w", errMediaType)
	}
	out := File{Fields: url.Values{}}
	for fields := 0; ; {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out.cut(err)
		}
		if part.FormName() == "file" && part.FileName() != "" || part.FormName() == Pasted {
			raw, large, err := readMost(part, most)
			if err != nil {
				return out.cut(err)
			}
			if large || len(raw) > 0 && out.Bytes == nil {
				out.Name, out.Bytes, out.TooLarge = part.FileName(), raw, out.TooLarge || large
			}
			continue
		}
		if fields++; fields > mostFields {
			return File{}, fmt.Errorf("read a form: %w", errMediaType)
		}
		raw, _, err := readMost(part, longField)
		if err != nil {
			return out.cut(err)
		}
		out.Fields.Add(part.FormName(), string(raw))
	}
}

// SendFile sends a file that is written piece by piece, and lets it take as long as
// one that is received. An error before the first pieces left is answered as any
// other; later it breaks the connection off, so that nobody takes a part for the
// whole.
func SendFile(c *gin.Context, name, mediaType string, write func(io.Writer) error) error {
	allowTime(c)
	out := bufio.NewWriterSize(&answerBody{c, name, mediaType}, heldBack)
	err := write(out)
	if err == nil {
		err = out.Flush()
	}
	if err != nil {
		c.Set(cutKey, true)
		return fmt.Errorf("send %s: %w", name, err)
	}
	return nil
}

const (
	cutKey   = "tracewright cut"
	heldBack = 64 << 10
)

// answerBody begins an answer with its first bytes.
type answerBody struct {
	c               *gin.Context
	name, mediaType string
}

func (b *answerBody) Write(raw []byte) (int, error) {
	if !b.c.Writer.Written() {
		b.c.Header("Cache-Control", "no-store")
		b.c.Header("Content-Type", b.mediaType)
		b.c.Header("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": b.name}))
		b.c.Status(http.StatusOK)
	}
	// A long list goes on for as long as somebody takes it.
	_ = http.NewResponseController(b.c.Writer).SetWriteDeadline(time.Now().Add(sendWithin))
	n, err := b.c.Writer.Write(raw)
	if err != nil {
		return n, fmt.Errorf("send %s: %w", b.name, err)
	}
	return n, nil
}

// cut is what became of a body that ended early: one past MaxFile is too large,
// whatever was still to come.
func (f File) cut(err error) (File, error) {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		f.Bytes, f.TooLarge = nil, true
		return f, nil
	}
	return f, brokenOff(err)
}

func brokenOff(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("read a file: %w", errors.Join(err, models.Invalid("file", "file_broken_off")))
}

// readMost reads all of r, and keeps it where it has at most so many bytes.
func readMost(r io.Reader, most int64) (raw []byte, large bool, err error) {
	var b bytes.Buffer
	n, err := b.ReadFrom(io.LimitReader(r, most+1))
	if err != nil || n <= most {
		return b.Bytes(), false, err
	}
	b = bytes.Buffer{}
	_, err = io.Copy(io.Discard, r)
	return nil, true, err
}

// workAgain puts a request that has its file among those that work, with a time that
// ends again; ctx is what it came with.
func workAgain(ctx context.Context, c *gin.Context) error {
	limit, limited := c.Get(limitKey)
	if limited {
		sent := c.Request.Context() // allowTime's, which ends when whoever sent it is gone
		longer := longerFor * limit.(time.Duration)
		within, cancel := context.WithTimeout(context.WithoutCancel(ctx), longer)
		context.AfterFunc(sent, cancel)
		c.Request = c.Request.WithContext(within)
		// The connection goes on for as long: one that ends takes its request along.
		control, until := http.NewResponseController(c.Writer), time.Now().Add(longer+time.Minute)
		_, _ = control.SetReadDeadline(until), control.SetWriteDeadline(until)
	}
	if p, ok := c.Get(placeKey); ok {
		return p.(*place).enter(c.Request.Context())
	}
	return nil
}

// allowTime lets a request go on for as long as its file may take.
func allowTime(c *gin.Context) {
	control, until := http.NewResponseController(c.Writer), time.Now().Add(sendWithin)
	// A test's recorder has no deadlines, which is as good.
	_ = control.SetReadDeadline(until)
	_ = control.SetWriteDeadline(until.Add(time.Minute))
	if ctx, ok := c.Get(unlimitedKey); ok {
		c.Request = c.Request.WithContext(ctx.(context.Context))
	}
}
