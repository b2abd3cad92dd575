package main

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"tracewright/models"
	"tracewright/models/trail"
	"tracewright/models/words"
	paper "tracewright/reports/certificate"
	"tracewright/reports/pdf"
)

// What is wrong with a certificate, beside the codes of a log.
const (
	codeUnsigned   trail.Code = "E_UNSIGNED"
	codeUnreadable trail.Code = "E_UNREADABLE"
	codePaper      trail.Code = "E_PAPER"
)

var errUnsigned = errors.New("it carries no signature")

const (
	contentEnd   = ".json"
	signatureEnd = ".signature.json"
)

type verifyCertificate struct {
	File    string `arg:"" help:"A certificate as it was issued, FILE.pdf, or the content that lies in it, FILE.json, with its FILE.signature.json beside it." type:"path"`
	Keys    string `help:"Public keys to trust: a file that ends in .pub, or a folder of them." placeholder:"PATH" type:"path" required:"" env:"-"`
	Content bool   `help:"Write out the content, as it was signed, and what was found to standard error." env:"-"`
}

// Help says what is looked at.
func (verifyCertificate) Help() string {
	return `Needs the file and public keys, and nothing else of the shop. The signature covers the content that lies in the PDF as a file of its own; the page is drawn from it again and held against the one that is there, byte for byte.

  tracewright verify certificate C26-01250.pdf --keys 3f0c6b0d9a517e24.pub`
}

// enclosed is a certificate's content and signature, as they were found.
type enclosed struct {
	name      string // of the content's file
	raw       []byte
	content   models.CertificateContent
	signature *models.Signature
}

// Run looks and tells what it found.
func (v *verifyCertificate) Run(std streams) error {
	keys, err := publicKeys(v.Keys)
	if err != nil {
		return notLooked(err)
	}
	file, err := os.ReadFile(v.File)
	if err != nil {
		return notLooked(err)
	}
	s := sayer{std.out, words.In("en")}
	if v.Content {
		s.out = std.err // The content stands alone: it is redirected into a file, and hashed.
	}
	found, err := v.enclosed(file)
	if err != nil {
		s.coded(codeUnreadable, map[string]string{"cause": err.Error()})
		return notSound(codeUnreadable, nil)
	}
	s.certificate(found)
	if v.Content {
		if _, err := std.out.Write(found.raw); err != nil {
			return notLooked(err)
		}
	}
	return s.judge(found, keys, file)
}

// judge tells the first thing that is wrong.
func (s sayer) judge(found enclosed, keys trail.Keys, file []byte) error {
	id := found.content.Key
	switch err := found.verify(keys); {
	case errors.Is(err, errUnsigned):
		s.coded(codeUnsigned, nil)
		return notSound(codeUnsigned, nil)
	case errors.Is(err, trail.ErrUnknownKey):
		s.said(trail.CodeKey, "key_of", map[string]string{"key": id})
		return notSound(trail.CodeKey, nil)
	case err != nil:
		s.said(trail.CodeSig, "sig_of", map[string]string{"key": id})
		return notSound(trail.CodeSig, nil)
	}
	s.say("signed", map[string]string{"key": id})
	if isPDF(file) && !found.drawnAs(file) {
		s.coded(codePaper, nil)
		return notSound(codePaper, nil)
	}
	if at := found.content.CheckAt; at != "" {
		s.say("at_address", map[string]string{"address": at})
	} else {
		s.say("still_stands", nil)
	}
	s.sound()
	return nil
}

// certificate says which one it is.
func (s sayer) certificate(found enclosed) {
	c := found.content
	s.say("certificate", map[string]string{"number": c.Number, "revision": fmt.Sprint(c.Revision), "serial": words.Serial(c.Item.Serial), "date": c.IssuedOn})
	if c.Log != nil {
		s.say("sealed_at", map[string]string{"size": whole(c.Log.Size)})
	}
}

func isPDF(file []byte) bool { return bytes.HasPrefix(file, []byte("%PDF-")) }

// enclosed finds the content and its signature.
func (v *verifyCertificate) enclosed(file []byte) (enclosed, error) {
	if isPDF(file) {
		return enclosedInPDF(file)
	}
	base, isContent := strings.CutSuffix(v.File, contentEnd)
	if !isContent || strings.HasSuffix(v.File, signatureEnd) {
		return enclosed{}, errors.New("neither a PDF nor a content, which ends in .json")
	}
	files := map[string][]byte{v.File: file}
	beside, err := os.ReadFile(base + signatureEnd)
	switch {
	case err == nil:
		files[base+signatureEnd] = beside
	case !errors.Is(err, fs.ErrNotExist):
		return enclosed{}, err
	}
	return enclosedIn(files)
}

// enclosedInPDF finds them among the files inside the PDF.
func enclosedInPDF(file []byte) (enclosed, error) {
	files, err := pdf.Attachments(file)
	if err != nil {
		return enclosed{}, err
	}
	return enclosedIn(files)
}

// enclosedIn tells content and signature by their names.
func enclosedIn(files map[string][]byte) (enclosed, error) {
	var found enclosed
	for name, raw := range files {
		if !strings.HasSuffix(name, contentEnd) || strings.HasSuffix(name, signatureEnd) {
			continue
		}
		if found.raw != nil {
			return enclosed{}, errors.New("more than one content lies in it")
		}
		found.name, found.raw = name, raw
	}
	if found.raw == nil {
		return enclosed{}, errors.New("no content lies in it")
	}
	if err := json.Unmarshal(found.raw, &found.content); err != nil || found.content.Number == "" {
		return enclosed{}, errors.New("its content is none of a certificate")
	}
	signature, signed := files[strings.TrimSuffix(found.name, contentEnd)+signatureEnd]
	if !signed {
		return found, nil
	}
	if err := json.Unmarshal(signature, &found.signature); err != nil {
		return enclosed{}, fmt.Errorf("its signature: %w", err)
	}
	return found, nil
}

// verify checks the signature over the canonical form of the content, whatever
// form a program between left it in, by the key that the content names too.
func (f enclosed) verify(keys trail.Keys) error {
	if f.signature == nil {
		return errUnsigned
	}
	canonical, err := trail.CanonicalJSON(f.raw)
	if err != nil {
		return err
	}
	if f.content.Key != f.signature.KeyID {
		return trail.ErrBadSignature
	}
	signature, err := hex.DecodeString(f.signature.Value)
	if err != nil {
		return trail.ErrBadSignature
	}
	return trail.VerifyCertificate(keys, f.signature.KeyID, canonical, signature)
}

// drawnAs says whether the certificate in force is drawn as this file.
func (f enclosed) drawnAs(file []byte) bool {
	drawn, err := paper.Draw(f.content, paper.Options{Raw: f.raw, Signature: f.signature})
	return err == nil && bytes.Equal(drawn, file)
}
