package certificate

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// Options are what is printed beside the content.
type Options struct {
	// Raw is the canonical JSON of the content. It is attached as it is, and
	// its SHA-256 is printed.
	Raw []byte
	// State is models.Issued, Superseded or Void; empty is Issued. Reason,
	// ChangedOn (YYYY-MM-DD) and Successor (the later revision) belong to the
	// last two and may be empty.
	State     string
	Reason    string
	ChangedOn string
	Successor int
	// Words is the catalogue of the paper's language; nil is English.
	Words *words.Catalogue
	// Plain leaves the pages uncompressed, so that a person can read the file.
	Plain bool
}

// ErrContent says that the content and what is to be attached cannot make a
// certificate: something is missing, or the two differ.
var ErrContent = errors.New("content makes no certificate")

// FileName is the name of the attached content: certificate-C26-01250-1.json.
func FileName(c models.CertificateContent) string {
	return fmt.Sprintf("certificate-%s-%d.json", c.Number, c.Revision)
}

// Draw draws a certificate.
func Draw(content models.CertificateContent, o Options) ([]byte, error) {
	made, err := check(content, o)
	if err != nil {
		return nil, fmt.Errorf("certificate %s revision %d: %w", content.Number, content.Revision, err)
	}
	if o.Words == nil {
		o.Words = words.In("en")
	}
	sum := sha256.Sum256(o.Raw)
	s := &sheet{content: content, options: o, words: o.Words, hash: hex.EncodeToString(sum[:]), serial: words.Serial(content.Item.Serial)}
	title := s.say("title") + " " + content.Number + ", " + s.say("revision_n", "revision", strconv.Itoa(content.Revision))
	s.doc = pdf.New(pdf.Meta{Title: title, Author: content.Issuer.Name, Subject: s.serial, Language: o.Words.Language(), Made: made, Plain: o.Plain})
	s.doc.Attach(pdf.Attachment{Name: FileName(content), Description: s.say("attachment", "version", strconv.Itoa(content.Version)), Content: o.Raw})
	if err := s.draw(); err != nil {
		return nil, fmt.Errorf("certificate %s revision %d: %w", content.Number, content.Revision, err)
	}
	out, err := s.doc.Bytes()
	if err != nil {
		return nil, fmt.Errorf("certificate %s revision %d: %w", content.Number, content.Revision, err)
	}
	return out, nil
}

// check refuses what would make a paper that cannot be told or trusted, and
// gives the time it was issued.
func check(c models.CertificateContent, o Options) (time.Time, error) {
	for name, value := range map[string]string{"number": c.Number, "serial of the item": c.Item.Serial, "name of the issuer": c.Issuer.Name} {
		if value == "" {
			return time.Time{}, fmt.Errorf("%w: no %s", ErrContent, name)
		}
	}
	switch o.State {
	case "", models.Issued, models.Superseded, models.Void:
	default:
		return time.Time{}, fmt.Errorf("%w: %q is not a state of a certificate", ErrContent, o.State)
	}
	made, err := time.Parse(time.RFC3339, c.IssuedAt)
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: time of issue %q", ErrContent, c.IssuedAt)
	}
	var attached models.CertificateContent
	if err := json.Unmarshal(o.Raw, &attached); err != nil {
		return time.Time{}, fmt.Errorf("%w: what is to be attached cannot be read: %w", ErrContent, err)
	}
	drawn, err := json.Marshal(c)
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: %w", ErrContent, err)
	}
	same, err := json.Marshal(attached)
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: %w", ErrContent, err)
	}
	if !bytes.Equal(drawn, same) {
		return time.Time{}, fmt.Errorf("%w: what is to be attached says something else than what is to be drawn", ErrContent)
	}
	return made, nil
}
