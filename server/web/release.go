package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/models/work/release"
	"tracewright/models/work/trace"
	"tracewright/server/httpx"
)

// ConfirmPage asks once more before something that others will rely on:
// a release, a void, a hold and its lifting. It works without a script.
type ConfirmPage struct {
	Frame
	Gloves   bool   // it is used at the shelf or a bench
	About    string // kicker: what it is about
	Mono     bool
	Title    string
	Says     []string // what this will do
	Refused  []string // why it cannot be done; then there is no form, but what may be done in its place
	Hidden   []Choice // sent along as they are
	Fields   []Field
	Secret   *Field // nil where none is asked for
	Button   string
	Bars     bool
	Scan     bool   // Enter, as a scanner ends with, goes to the next field
	Instead  *Act   // what may be done in its place
	Path     string // of the form
	Back     string
	Problems Problems
}

// gate says why whoever looks can issue no certificate for an item now; nothing
// means that they can, if their role includes it.
func (s *site) gate(c *gin.Context, item models.Item) ([]models.Remark, error) {
	if item.Kind != models.KindWheel && item.Kind != models.KindPack {
		return nil, nil
	}
	return s.services.Release.GateFor(c.Request.Context(), httpx.Actor(c), item.ID)
}

// secretField asks for what confirms: the PIN at an enrolled tablet, the
// password in the office, and nothing within five minutes of the last one.
func (s *site) secretField(c *gin.Context, f *form) *Field {
	if !s.services.Sessions.NeedsSecret(c) {
		return nil
	}
	x := Field{Name: "confirm.password", Label: "Your password", Kind: "password", Complete: "current-password", Hint: "Good for five minutes of further decisions."}
	if httpx.Actor(c).DeviceID != "" {
		x = Field{Name: "confirm.pin", Label: "Your PIN", Kind: "password", Mode: "numeric", Complete: "off"}
	}
	x = f.field(x)
	return &x
}

func (s *site) confirm(c *gin.Context) error {
	return s.services.Sessions.Confirm(c, access.Secret{PIN: c.PostForm("confirm.pin"), Password: c.PostForm("confirm.password")})
}

func (s *site) releasePage(c *gin.Context) error { return s.showRelease(c, http.StatusOK, nil) }

func (s *site) showRelease(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	item, err := s.services.Trace.One(ctx, c.Param("serial"))
	if err != nil {
		return err
	}
	from, err := s.services.Release.Grounds(ctx, item.ID) // Before what the page shows of it.
	if err != nil {
		return err
	}
	stale := errors.Is(problem, models.ErrStale)
	if problem != nil {
		from = c.PostForm("from")
	}
	v, err := s.services.Trace.Glance(ctx, item.ID, "")
	if err != nil {
		return err
	}
	refusals, err := s.gate(c, v.Item)
	if err != nil {
		return err
	}
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Issue certificate", ""), About: words.Serial(v.Item.Name()), Mono: true, Title: "Issue its certificate", Button: "Issue certificate", Path: path + "/release", Back: path, Hidden: []Choice{{"from", from}}}
	for _, r := range refusals {
		page.Refused = append(page.Refused, sayOf(v.Latest(), r))
	}
	if len(page.Refused) > 0 {
		page.Title = "No certificate can be issued now"
		return send(c, status, "confirm", page)
	}
	if stale { // What it was asked on is no more: the same form would be refused for ever.
		page.Title, page.Refused, page.Instead = "Look at it again before you sign", []string{english.Say("stale", nil)}, &Act{Text: "Open it as it is now", Path: page.Path}
		return send(c, status, "confirm", page)
	}
	page.Says = releaseSays(v)
	if page.Says, err = s.openSteps(ctx, v.Item, page.Says); err != nil {
		return err
	}
	var inForce *models.Certificate
	if before := v.Certificate(); before != nil {
		inForce = &before.Certificate
		page.Title, page.Button = "Issue a new revision of its certificate", "Issue revision "+strconv.Itoa(inForce.Revision+1)
		page.Says = append(page.Says, s.revisionSays(v, *inForce)...)
		page.Fields = append(page.Fields, f.field(Field{Name: "reason", Label: "Why a new revision", Kind: "text area", Most: models.LongestReason, Focus: true, Hint: "It is printed on the new revision, and as what became of the old one."}))
	}
	language, err := s.languageField(ctx, f, inForce)
	if err != nil {
		return err
	}
	page.Fields = append(page.Fields, language)
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// revisionSays is what becomes of the certificate in force, and what a new
// revision takes over.
func (s *site) revisionSays(v trace.ItemView, inForce models.Certificate) []string {
	rests := "It rests on the same inspection as before; names, parts and the shop’s address are taken as they are on record now."
	if latest := v.Latest(); latest != nil && latest.Inspection.ID != inForce.InspectionID {
		rests = "It rests on the newer inspection, of " + s.day(latest.Inspection.MeasuredAt) + "."
	}
	return []string{rests, fmt.Sprintf("%s revision %d stays on record as superseded, and its paper says so.", inForce.Number, inForce.Revision)}
}

// languageField asks for the language of the paper, set to that of the
// certificate in force or to the shop's.
func (s *site) languageField(ctx context.Context, f *form, inForce *models.Certificate) (Field, error) {
	usual, err := s.services.Release.Language(ctx, inForce)
	if err != nil {
		return Field{}, err
	}
	field := f.field(Field{Name: "language", Label: "Language of the paper", Kind: "select", Width: "w4", Choices: paperLanguages()})
	if field.Value == "" {
		field.Value = usual
	}
	return field, nil
}

// paperLanguages are the languages of paper, each as those who speak it call it.
func paperLanguages() []Choice {
	var choices []Choice
	for _, c := range words.All() {
		choices = append(choices, Choice{c.Language(), c.Name()})
	}
	return choices
}

// openSteps adds which steps of building a pack nobody ticked: no reason against
// it, and for whoever signs to know.
func (s *site) openSteps(ctx context.Context, item models.Item, says []string) ([]string, error) {
	if item.Kind != models.KindPack {
		return says, nil
	}
	sheet, err := s.services.Build.Sheet(ctx, item.ID)
	if err != nil {
		return nil, err
	}
	var open []string
	for _, step := range sheet.Steps {
		if !step.Done {
			open = append(open, step.Words)
		}
	}
	if len(open) == 0 {
		return says, nil
	}
	return append(says, "Not ticked on its build list: "+strings.Join(open, "; ")+". Look whether it was done before you sign."), nil
}

// releaseSays is what the certificate will say, before it says it.
func releaseSays(v trace.ItemView) []string {
	latest := v.Latest()
	if latest == nil {
		return nil
	}
	passed, all := share(*latest)
	return []string{
		fmt.Sprintf("%s: %s results pass by specification %d, %s.", words.Sentence(english.Stage(latest.Inspection.Stage)), english.Of(passed, all), latest.Specification.Revision, rulesOf(latest.Specification)),
		"Measured by " + latest.Person + ". You sign as the one who releases; where that is the same person, the paper says so.",
		"Its content is frozen then. A change needs a new revision.",
	}
}

func (s *site) release(c *gin.Context) error {
	ctx := c.Request.Context()
	item, err := s.services.Trace.One(ctx, c.Param("serial"))
	if err != nil {
		return err
	}
	from := c.PostForm("from")
	switch now, err := s.services.Release.Grounds(ctx, item.ID); {
	case err != nil:
		return err
	case from != now: // Before a secret is asked for: it would confirm what was not shown.
		return s.showRelease(c, http.StatusUnprocessableEntity, models.ErrStale)
	}
	if err = s.confirm(c); err == nil {
		_, err = s.services.Release.IssueAs(ctx, httpx.Actor(c), item.ID, release.CertificateRequest{Reason: strings.TrimSpace(c.PostForm("reason")), Language: c.PostForm("language"), From: from})
	}
	if answerable(err) {
		status := http.StatusUnprocessableEntity
		if errors.Is(err, models.ErrForbidden) {
			status = http.StatusForbidden
		}
		return s.showRelease(c, status, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(item.Serial), item.ID), "released")
}

// certificate opens the paper in the browser, as it was drawn and kept.
func (s *site) certificate(c *gin.Context) error { return s.showPaper(c, s.services.Release.Paper) }

// originalPaper opens the paper as it was kept while the certificate was in
// force.
func (s *site) originalPaper(c *gin.Context) error {
	return s.showPaper(c, s.services.Release.Original)
}

func (s *site) showPaper(c *gin.Context, paper func(context.Context, string) ([]byte, string, error)) error {
	view, err := s.certificateNamed(c)
	if err != nil {
		return err
	}
	pdf, file, err := paper(c.Request.Context(), view.ID)
	if err != nil {
		return err
	}
	return sendPDF(c, file, pdf)
}

// sendPDF shows a paper in the browser, under the name that it is saved by.
func sendPDF(c *gin.Context, file string, pdf []byte) error {
	c.Header("Content-Disposition", `inline; filename="`+file+`"`)
	httpx.Send(c, http.StatusOK, "application/pdf", pdf)
	return nil
}

// printCertificate counts a print of the paper and opens it. The number stays the
// same; opening the paper to look at it is no print.
func (s *site) printCertificate(c *gin.Context) error {
	view, err := s.certificateNamed(c)
	if err != nil {
		return err
	}
	if _, err := s.services.Labels.CountCertificate(c.Request.Context(), httpx.Actor(c), view.Certificate); err != nil {
		return err
	}
	c.Redirect(http.StatusSeeOther, certificatePath(view.Certificate))
	return nil
}

func (s *site) certificateNamed(c *gin.Context) (models.CertificateView, error) {
	revision, err := strconv.Atoi(c.Param("revision"))
	if err != nil {
		return models.CertificateView{}, fmt.Errorf("revision %.20q: %w", c.Param("revision"), models.ErrNotFound)
	}
	return s.services.Release.ByNumber(c.Request.Context(), c.Param("number"), revision)
}

func (s *site) voidPage(c *gin.Context) error { return s.showVoid(c, http.StatusOK, nil) }

func (s *site) showVoid(c *gin.Context, status int, problem error) error {
	view, err := s.certificateNamed(c)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	path := certificatePath(view.Certificate)
	page := ConfirmPage{Frame: s.frame(c, "Void a certificate", ""), About: fmt.Sprintf("%s revision %d", view.Number, view.Revision), Mono: true, Title: "Void this certificate", Button: "Void it", Path: path + "/void", Back: itemPath("", view.ItemID),
		Says: []string{"It keeps its number and stays readable, with “void” across each page and your reason at its head.", "This cannot be undone; a new certificate can be issued."}}
	if view.State != models.Issued {
		page.Title, page.Refused = "This certificate is not in force", []string{"It is " + english.State(view.State) + " already."}
		return send(c, status, "confirm", page)
	}
	page.Fields = []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Most: models.LongestReason, Focus: true})}
	page.Secret = s.secretField(c, f)
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) void(c *gin.Context) error {
	view, err := s.certificateNamed(c)
	if err != nil {
		return err
	}
	if err = s.confirm(c); err == nil {
		err = s.services.Release.Void(c.Request.Context(), httpx.Actor(c), view.ID, strings.TrimSpace(c.PostForm("reason")))
	}
	if answerable(err) {
		return s.showVoid(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath("", view.ItemID), "voided")
}
