package certificate

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// Options are what is printed beside the content.
type Options struct {
	// Raw is the canonical JSON of the content. It is attached as it is, and
	// its SHA-256 is printed. Signature is over it, and is attached beside it;
	// content of version 1 has none.
	Raw       []byte
	Signature *models.Signature
	// State is models.Issued, Superseded or Void; empty is Issued. Reason,
	// ChangedOn (YYYY-MM-DD) and Successor (the later revision) belong to the
	// last two and may be empty.
	State     string
	Reason    string
	ChangedOn string
	Successor int
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

// SignatureFileName is the name of the attached signature:
// certificate-C26-01250-1.signature.json.
func SignatureFileName(c models.CertificateContent) string {
	return fmt.Sprintf("certificate-%s-%d.signature.json", c.Number, c.Revision)
}

// Draw draws a certificate, in the language that its content names. What takes
// more than two pages is set closer where that saves one.
func Draw(content models.CertificateContent, o Options) ([]byte, error) {
	out, err := draw(content, o)
	if err != nil {
		return nil, fmt.Errorf("certificate %s revision %d: %w", content.Number, content.Revision, err)
	}
	return out, nil
}

func draw(content models.CertificateContent, o Options) ([]byte, error) {
	made, err := check(content, o)
	if err != nil {
		return nil, err
	}
	s, err := set(content, o, made, wide)
	if err != nil {
		return nil, err
	}
	if s.doc.Pages() > 2 {
		closer, err := set(content, o, made, tight)
		if err != nil {
			return nil, err
		}
		if closer.doc.Pages() < s.doc.Pages() {
			s = closer
		}
	}
	return s.doc.Bytes()
}

// set puts a certificate on pages, with its gaps multiplied.
func set(content models.CertificateContent, o Options, made time.Time, gaps float64) (*sheet, error) {
	sum := sha256.Sum256(o.Raw)
	s := &sheet{content: content, options: o, gaps: gaps, words: words.In(content.Language), hash: hex.EncodeToString(sum[:]), serial: words.Serial(content.Item.Serial)}
	title := s.say("title") + " " + content.Number + ", " + s.say("revision_n", "revision", strconv.Itoa(content.Revision))
	s.doc = pdf.New(pdf.Meta{Title: title, Author: content.Issuer.Name, Subject: s.serial, Language: s.words.Language(), Made: made, Plain: o.Plain})
	if err := s.attach(); err != nil {
		return nil, err
	}
	return s, s.draw()
}

// attach puts the content into the document, and its signature beside it.
func (s *sheet) attach() error {
	described := "attachment"
	if s.options.Signature == nil {
		described = "attachment_unsigned"
	}
	s.doc.Attach(pdf.Attachment{Name: FileName(s.content), Description: s.say(described, "version", strconv.Itoa(s.content.Version)), Content: s.options.Raw})
	if s.options.Signature == nil {
		return nil
	}
	signature, err := json.Marshal(s.options.Signature)
	if err != nil {
		return fmt.Errorf("signature to be attached: %w", err)
	}
	s.doc.Attach(pdf.Attachment{Name: SignatureFileName(s.content), Description: s.say("attachment_signature"), Content: signature})
	return nil
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
	if err := checkSignature(c, o.Signature); err != nil {
		return time.Time{}, err
	}
	made, err := time.Parse(time.RFC3339, c.IssuedAt)
	if err != nil {
		return time.Time{}, fmt.Errorf("%w: time of issue %q", ErrContent, c.IssuedAt)
	}
	var attached models.CertificateContent
	if err := json.Unmarshal(o.Raw, &attached); err != nil {
		return time.Time{}, fmt.Errorf("%w: what is to be attached cannot be read: %w", ErrContent, err)
	}
	if reflect.DeepEqual(attached, c) {
		return made, nil
	}
	// What was made by hand may hold nothing where what was read holds an empty list.
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

// checkSignature holds a signature against what its content says of it: whether
// there is one, and by which key. Whether it is right is told by whoever has
// that key.
func checkSignature(c models.CertificateContent, s *models.Signature) error {
	switch {
	case c.Version < models.ContentSigned && s != nil:
		return fmt.Errorf("%w: version %d has no signature", ErrContent, c.Version)
	case c.Version >= models.ContentSigned && (s == nil || s.Value == "" || s.KeyID == "" || s.KeyID != c.Key):
		return fmt.Errorf("%w: its signature is missing, or by another key than it names", ErrContent)
	case c.Version >= models.ContentSigned && c.Log == nil:
		return fmt.Errorf("%w: it names no sealed log", ErrContent)
	}
	return nil
}
