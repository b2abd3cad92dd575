package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/release"
	"tracewright/server/httpx"
)

// certificateShape is one revision of a certificate with its present state.
type certificateShape struct {
	ID           string          `json:"id"`
	Number       string          `json:"number"`
	Revision     int             `json:"revision"`
	State        string          `json:"state"` // issued, superseded, void
	ItemID       string          `json:"item_id"`
	InspectionID string          `json:"inspection_id"`
	ContentHash  string          `json:"content_sha256"`
	IssuedBy     string          `json:"issued_by"`
	IssuedAt     instant         `json:"issued_at"`
	Reason       string          `json:"reason,omitempty"`
	Signature    *signatureShape `json:"signature,omitempty"` // none of one from before certificates were signed
	Change       *changeShape    `json:"change,omitempty"`    // what ended its being in force
	Content      json.RawMessage `json:"content,omitempty"`
}

// signatureShape is an Ed25519 signature over "qc-certificate-v1\n" and the
// content as it was hashed.
type signatureShape struct {
	Key   string `json:"key"`
	Value string `json:"value"` // hexadecimal
}

// changeShape says when and why a certificate is no longer in force.
type changeShape struct {
	Reason    string  `json:"reason"`
	ChangedBy string  `json:"changed_by"`
	ChangedAt instant `json:"changed_at"`
}

func certificateOf(x models.Certificate, state string, change *models.CertificateChange) certificateShape {
	shape := certificateShape{ID: x.ID, Number: x.Number, Revision: x.Revision, State: state, ItemID: x.ItemID, InspectionID: x.InspectionID,
		ContentHash: x.ContentHash, IssuedBy: x.IssuedBy, IssuedAt: instant(x.IssuedAt), Reason: x.Reason}
	if s := x.Signed(); s != nil {
		shape.Signature = &signatureShape{s.KeyID, s.Value}
	}
	if change != nil {
		shape.Change = &changeShape{Reason: change.Reason, ChangedBy: change.ChangedBy, ChangedAt: instant(change.ChangedAt)}
	}
	return shape
}

// decision is a reason, and the secret that confirms what others will rely on.
type decision struct {
	Reason  string        `json:"reason"`
	Confirm access.Secret `json:"confirm"`
}

// confirmed takes a body that holds the secret alone, and holds it against the
// person.
func (a *api) confirmed(c *gin.Context) error {
	var in struct {
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	return a.services.Sessions.Confirm(c, in.Confirm)
}

// issueCertificate releases an item and freezes its certificate.
func (a *api) issueCertificate(c *gin.Context) error {
	var in struct {
		decision
		Language string `json:"language"`
		From     string `json:"from"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	view, err := a.services.Trace.Item(ctx, c.Param("item"))
	if err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	issued, err := a.services.Release.IssueAs(ctx, httpx.Actor(c), view.Item.ID, release.CertificateRequest{Reason: strings.TrimSpace(in.Reason), Language: in.Language, Inspection: in.From})
	if err != nil {
		return err
	}
	return created(c, certificatePath(issued), certificateOf(issued, models.Issued, nil))
}

func certificatePath(x models.Certificate) string {
	return fmt.Sprintf("/certificates/%s/%d", x.Number, x.Revision)
}

// certificateNamed finds the one that the path names.
func (a *api) certificateNamed(c *gin.Context) (models.CertificateView, error) {
	revision, err := strconv.Atoi(c.Param("revision"))
	if err != nil || revision < 1 {
		return models.CertificateView{}, fmt.Errorf("revision %.20q: %w", c.Param("revision"), models.ErrNotFound)
	}
	return a.services.Release.ByNumber(c.Request.Context(), c.Param("number"), revision)
}

// certificate answers with the frozen content too, byte for byte as it was
// hashed.
func (a *api) certificate(c *gin.Context) error {
	view, err := a.certificateNamed(c)
	if err != nil {
		return err
	}
	shape := certificateOf(view.Certificate, view.State, view.Change)
	shape.Content = json.RawMessage(view.Content)
	return answer(c, http.StatusOK, shape)
}

// paper answers with the PDF as it was drawn and kept for the state that the
// certificate is in.
func (a *api) paper(c *gin.Context) error { return a.sendPaper(c, a.services.Release.Paper) }

// original answers with the PDF as it was kept while the certificate was in
// force, without the mark of what came later.
func (a *api) original(c *gin.Context) error { return a.sendPaper(c, a.services.Release.Original) }

// sendPaper sends a kept PDF. Its ETag is the hash of its bytes, so that a
// program that keeps it need not fetch it again; browsers keep none.
func (a *api) sendPaper(c *gin.Context, paper func(context.Context, string) ([]byte, string, error)) error {
	view, err := a.certificateNamed(c)
	if err != nil {
		return err
	}
	pdf, name, err := paper(c.Request.Context(), view.ID)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(pdf)
	tag := `"` + hex.EncodeToString(sum[:]) + `"`
	c.Header("ETag", tag)
	if matches(c.GetHeader("If-None-Match"), tag) {
		c.Status(http.StatusNotModified)
		c.Writer.WriteHeaderNow()
		return nil
	}
	c.Header("Content-Disposition", `inline; filename="`+name+`"`)
	httpx.Send(c, http.StatusOK, "application/pdf", pdf)
	return nil
}

// matches compares a list of tags with one, weakly (RFC 9110, 13.1.2).
func matches(header, tag string) bool {
	for given := range strings.SplitSeq(header, ",") {
		given = strings.TrimSpace(given)
		if given == "*" || strings.TrimPrefix(given, "W/") == tag {
			return true
		}
	}
	return false
}

// voidCertificate ends a certificate's being in force.
func (a *api) voidCertificate(c *gin.Context) error {
	var in decision
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	view, err := a.certificateNamed(c)
	if err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	if err := a.services.Release.Void(c.Request.Context(), httpx.Actor(c), view.ID, strings.TrimSpace(in.Reason)); err != nil {
		return err
	}
	if view, err = a.certificateNamed(c); err != nil {
		return err
	}
	return answer(c, http.StatusOK, certificateOf(view.Certificate, view.State, view.Change))
}
