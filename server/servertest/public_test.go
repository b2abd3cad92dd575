package servertest

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/lookup"
	"tracewright/models/work/worktest"
	"tracewright/reports/pdf/pdftest"
	"tracewright/server/app"
	"tracewright/server/public"
)

// publicAddress is the shop's: a host and a folder.
const publicAddress = "https://shop.example/check"

// certified records a good wheel and issues its first certificate, with a lot in
// the wheel, under the address; empty is none.
func (s *Shop) certified(t *testing.T, address string) models.CertificateContent {
	t.Helper()
	s.Must(s.Store.SetSetting(t.Context(), models.NewStamp(s.Shop.Owner, s.Now), models.SettingPublicAddress, address))
	s.MustRecord(s.Extremes())
	return s.issued(t, "")
}

// issued issues a certificate of the wheel as the operator at stand 1.
func (s *Shop) issued(t *testing.T, reason string) models.CertificateContent {
	t.Helper()
	actor := models.Actor{PersonID: s.Shop.Operator.PersonID, Name: s.Shop.Operator.Name, Role: models.Operator}
	c, err := s.App.Services.Release.Issue(t.Context(), actor, s.Item[models.KindWheel].ID, reason)
	s.Must(err)
	var content models.CertificateContent
	s.Must(json.Unmarshal([]byte(c.Content), &content))
	return content
}

// From the paper to its page, through all a certificate goes through.
func TestStrangersLookACertificateUp(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		first := s.certified(t, publicAddress)
		at := "/" + first.Token()
		serial := ident.Print(s.Serial[models.KindWheel])
		row := func(name, path string, status int, has ...string) Row {
			return Row{Name: name, Public: true, Path: path, Status: status, Has: has}
		}
		const missing = "No certificate has this code"
		inForce := row("in force", at, http.StatusOK, "<header>Speichenhof Test</header>", ">C31-00001 <", "revision 1", "In force", "12 May 2031, 12:00 UTC", serial, "Wheel, wheel one", "wheels, revision 1, grade",
			"The wheel meets every limit that was measured.", "Lateral run-out, full reading", "Pass", "Not measured", "By simple acceptance", s.hashOf(t, "C31-00001", 1))
		inForce.Headers = map[string]string{"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex, nofollow", "X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY",
			"Content-Type": "text/html; charset=utf-8", "Set-Cookie": "", "Strict-Transport-Security": ""}
		inForce.HasNot = []string{"Superseded", "Void", "<script", "http://", "https://"}
		head := row("by its head alone", at, http.StatusOK)
		head.Method, head.Headers = http.MethodHead, map[string]string{"Cache-Control": "no-store"}
		head.After = func(t *testing.T, h http.Header, body []byte) {
			if len(body) > 0 || h.Get("Content-Length") == "" || h.Get("Content-Length") == "0" {
				t.Errorf("%d bytes, said to be %s", len(body), h.Get("Content-Length"))
			}
		}
		posted := row("posted", at, http.StatusMethodNotAllowed)
		posted.Method, posted.Headers = http.MethodPost, map[string]string{"Allow": "GET, HEAD"}
		led := func(name, typed string) Row {
			r := row(name, "/?code="+url.QueryEscape(typed), http.StatusSeeOther)
			r.Headers = map[string]string{"Location": "./" + first.Token()}
			return r
		}
		folder := row("the folder without its slash", "/check", http.StatusPermanentRedirect)
		folder.Headers = map[string]string{"Location": "./check/"}
		other := strings.Repeat("0000-", 6) + "0000"
		s.Run(t, []Row{
			inForce, head, posted,
			row("where a proxy leaves the folder", "/check"+at, http.StatusOK, "In force"),
			row("as a web space has it", at+"/", http.StatusOK, "In force"),
			row("as people type", strings.ToLower(strings.ReplaceAll(at, "-", "")), http.StatusOK, "In force"),
			row("of no certificate", "/"+other, http.StatusNotFound, missing, `action="./"`, "Speichenhof Test", "Mill Lane 4"),
			row("too short", at[:len(at)-1], http.StatusNotFound, missing),
			row("the number instead", "/C31-00001", http.StatusNotFound, missing),
			row("the serial instead", "/"+serial, http.StatusNotFound, missing),
			row("below it", at+"/paper", http.StatusNotFound, missing, `action="./../"`),
			row("the form", "/", http.StatusOK, "Look a certificate up", `name="code"`, "Mill Lane 4"),
			folder,
			led("the form, as people type", " "+strings.ToLower(first.Token())+" "),
			led("the form, with the whole address", first.CheckAt),
			led("the form, with the address of a web space", first.CheckAt+"/"),
			row("the form, mistyped", "/?code=7ZK3", http.StatusNotFound, missing),
			row("for search engines", "/robots.txt", http.StatusOK, "Disallow: /"),
		})
		second := s.issued(t, "its rim was named wrongly")
		s.Now = s.Now.Add(24 * time.Hour)
		s.Run(t, []Row{
			{Name: "superseded", Public: true, Path: at, Status: http.StatusOK, Has: []string{"Superseded by revision 2 on 12 May 2031", "13 May 2031, 12:00 UTC"}, HasNot: []string{"In force", second.Token(), "named wrongly", `class="word pass"`}},
			row("the second is in force", "/"+second.Token(), http.StatusOK, "In force", "revision 2"),
			{Name: "voided", Who: InspectorAtStand, Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"reason": "another wheel was measured", "confirm": object{"pin": PIN}}, Status: http.StatusOK},
			{Name: "void", Public: true, Path: "/" + second.Token(), Status: http.StatusOK, Has: []string{"Void since 13 May 2031"}, HasNot: []string{"In force", "another wheel", `class="word pass"`}},
			row("the first stays superseded", at, http.StatusOK, "Superseded by revision 2"),
		})
	})
}

func (s *Shop) hashOf(t *testing.T, number string, revision int) string {
	t.Helper()
	c, err := s.Store.CertificateByNumber(t.Context(), number, revision)
	s.Must(err)
	return c.ContentHash
}

// What people typed, who they are, and what they measured with stays inside.
func TestStrangersSeeNoReadingsPartsOrPeople(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		c := s.certified(t, publicAddress)
		_, _, page := s.Do(t, Row{Public: true, Path: "/" + c.Token()})
		// The page has figures of its own in its style and its shapes.
		text := regexp.MustCompile(`(?s)<style>.*?</style>|<svg.*?</svg>`).ReplaceAllString(string(page), "")
		secrets := []string{c.MeasuredBy.Name, c.ReleasedBy.Name, "operator", c.Issuer.Address, c.Token(), c.Inspection.ID, s.Item[models.KindWheel].ID}
		for _, set := range c.Readings {
			for _, v := range set.Values {
				if strings.ContainsAny(v, "0123456789") {
					secrets = append(secrets, v)
				}
			}
		}
		for _, r := range c.Results {
			if r.Shown != "yes" && r.Shown != "" {
				secrets = append(secrets, r.Shown, r.High)
			}
		}
		if len(secrets) < 30 {
			t.Fatalf("only %d secrets are known", len(secrets))
		}
		hashless := strings.ReplaceAll(text, s.hashOf(t, c.Number, 1), "")
		for _, secret := range secrets {
			if secret != "" && regexp.MustCompile(`(^|[^0-9A-Za-z])`+regexp.QuoteMeta(secret)+`($|[^0-9A-Za-z])`).MatchString(hashless) {
				t.Errorf("the page says %q", secret)
			}
		}
	})
}

// Nothing of the inside is reachable: every route of the shop is asked for, by
// its own method and with the owner's cookies.
func TestStrangersReachNothingElse(t *testing.T) {
	s := On(t, openSQLite(t))
	s.certified(t, publicAddress)
	named := strings.NewReplacer(":serial", s.Serial[models.KindWheel], ":item", s.Serial[models.KindWheel], ":number", "C31-00001", ":revision", "1")
	inside := regexp.MustCompile(`[:*][a-z_]+`)
	asked := 0
	for _, route := range app.Routes(s.App.Services) {
		path := inside.ReplaceAllString(named.Replace(route.Path), "x")
		s.Now = s.Now.Add(time.Minute) // so that nothing is held back by its number
		want := http.StatusNotFound
		switch {
		case route.Method != http.MethodGet:
			want = http.StatusMethodNotAllowed
		case path == "/":
			want = http.StatusOK // the form
		}
		status, header, body := s.Do(t, Row{Public: true, Who: Owner, Method: route.Method, Path: path})
		if status != want || len(header.Values("Set-Cookie")) > 0 || bytes.Contains(body, []byte(s.Serial[models.KindWheel])) || bytes.Contains(body, []byte("The owner")) {
			t.Errorf("%s %s: %d, want %d, and nothing of the shop: %.300s", route.Method, path, status, want, body)
		}
		asked++
	}
	if asked < 200 {
		t.Errorf("only %d routes were asked for", asked)
	}
}

// The code on the paper is scanned, and what it says is asked for.
func TestTheCodeOnPaperLeadsToItsPage(t *testing.T) {
	for _, address := range []string{publicAddress, "https://" + strings.Repeat("quality-of-", 4) + "the-shop.example/look-certs"} {
		s := On(t, openSQLite(t))
		c := s.certified(t, address)
		_, _, pdf := s.Do(t, Row{Who: Desk, Path: "/api/v1/certificates/C31-00001/1/paper"})
		scanned := pdftest.QR(t, pdf, len(pdftest.PageTexts(t, pdf)))
		if len(scanned) != 1 || scanned[0] != c.CheckAt {
			t.Fatalf("the code says %q, want %q", scanned, c.CheckAt)
		}
		if on := strings.Join(pdftest.PageTexts(t, pdf), " "); !strings.Contains(strings.Join(strings.Fields(on), ""), strings.ReplaceAll("Check current status at "+c.CheckAt, " ", "")) {
			t.Errorf("the address %s is not at the foot: %s", c.CheckAt, on)
		}
		at, err := url.Parse(scanned[0])
		s.Must(err)
		s.Run(t, []Row{{Name: "scanned", Public: true, Path: at.Path, Status: http.StatusOK, Has: []string{"In force", "C31-00001"}}})
	}
}

func TestPaperOfAShopWithoutAPublicAddress(t *testing.T) {
	s := On(t, openSQLite(t))
	s.certified(t, "")
	_, _, pdf := s.Do(t, Row{Who: Desk, Path: "/api/v1/certificates/C31-00001/1/paper"})
	pages := pdftest.PageTexts(t, pdf)
	want := s.Serial[models.KindWheel] + " C31-00001/1 " + s.hashOf(t, "C31-00001", 1)
	if scanned := pdftest.QR(t, pdf, len(pages)); len(scanned) != 1 || scanned[0] != want {
		t.Errorf("the code says %q, want %q", scanned, want)
	}
	if on := strings.Join(pages, " "); strings.Contains(on, "https:") || strings.Contains(on, "Status:") {
		t.Errorf("the paper names an address: %s", on)
	}
}

// A site's own pages are not written over, and nothing is written beside them.
func TestCertificatesBesideASiteOfItsOwn(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.certified(t, publicAddress)
		certificates := lookup.New(s.Store, s.Clock, worktest.Zone)
		for name, own := range map[string]string{"index.html": "<!doctype html>\n<title>Marrow Lane Wheels</title>", "404.html": "<!doctype html><p>Gone", "robots.txt": "User-agent: *\nAllow: /\n"} {
			folder := t.TempDir()
			s.Must(os.WriteFile(filepath.Join(folder, name), []byte(own), 0o644))
			_, err := public.Export(t.Context(), certificates, folder)
			var refused *models.RefusedError
			if !errors.As(err, &refused) || refused.Reasons[0].Values["file"] != filepath.Join(folder, name) {
				t.Errorf("%s: %v", name, err)
			}
			there, err := os.ReadFile(filepath.Join(folder, name))
			beside, errBeside := os.ReadDir(folder)
			if string(there) != own || err != nil || len(beside) != 1 || errBeside != nil {
				t.Errorf("%s is now %q, %v; there lie %v, %v", name, there, err, beside, errBeside)
			}
		}
	})
}

// The files of a web space are the pages of the listener.
func TestCertificatesAsFiles(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		first := s.certified(t, publicAddress)
		second := s.issued(t, "again")
		folder := filepath.Join(t.TempDir(), "web")
		certificates := lookup.New(s.Store, s.Clock, worktest.Zone)
		export := func(files int) {
			t.Helper()
			done, err := public.Export(t.Context(), certificates, folder)
			s.Must(err)
			if done.Certificates != 2 || done.Written != files {
				t.Errorf("%d certificates, %d files written; want 2 and %d", done.Certificates, done.Written, files)
			}
			for _, c := range []models.CertificateContent{first, second} {
				name := filepath.Join(folder, c.Token(), "index.html")
				file, err := os.ReadFile(name)
				s.Must(err)
				info, err := os.Stat(name)
				s.Must(err)
				if info.Mode().Perm() != 0o644 {
					t.Errorf("mode %v: a web space could not read it", info.Mode())
				}
				if _, _, page := s.Do(t, Row{Public: true, Path: "/" + c.Token()}); files > 0 && !bytes.Equal(file, page) {
					t.Errorf("revision %d as a file:\n%s\nas it is served:\n%s", c.Revision, file, page)
				}
			}
		}
		export(5)
		for name, has := range map[string]string{"index.html": "capital letters and hyphens included", "404.html": "No certificate has this code", "robots.txt": "Disallow: /"} {
			content, err := os.ReadFile(filepath.Join(folder, name))
			s.Must(err)
			if !strings.Contains(string(content), has) || strings.Contains(string(content), "<form") {
				t.Errorf("%s lacks %q, or asks what nobody answers: %s", name, has, content)
			}
		}
		s.Must(os.WriteFile(filepath.Join(folder, "kept.html"), []byte("the shop's own"), 0o600))
		s.Now = s.Now.Add(time.Hour)
		export(0) // the same day
		s.Run(t, []Row{{Name: "voided", Who: InspectorAtStand, Path: "/api/v1/certificates/C31-00001/2/void", Body: object{"reason": "r", "confirm": object{"pin": PIN}}, Status: http.StatusOK}})
		done, err := public.Export(t.Context(), certificates, folder)
		s.Must(err)
		if done.Written != 1 {
			t.Errorf("after one was voided %d files are written, want its own", done.Written)
		}
		s.Now = s.Now.Add(24 * time.Hour)
		export(2) // each says as of when it is true
		left, err := filepath.Glob(filepath.Join(folder, "*"))
		s.Must(err)
		hidden, err := filepath.Glob(filepath.Join(folder, "*", ".new-*"))
		s.Must(err)
		if len(left) != 6 || len(hidden) != 0 {
			t.Errorf("in the folder: %v, half-written: %v", left, hidden)
		}
	})
}
