package public

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/lookup"
)

var noon = time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)

const token = "7ZK3-M9QW-2B4T-X0RD-6NYA-5HJE-Q8VC"

// register is a database that answers, or does not.
type register struct {
	lookup.Store
	fails error
	hold  chan struct{} // a look-up waits until it is closed; nil: not at all
}

func (r *register) Settings(context.Context) (map[string]string, error) {
	return map[string]string{models.SettingShopName: "Wren & Sons <Ltd>"}, nil
}

func (r *register) CertificateByToken(ctx context.Context, _ string) (models.Certificate, error) {
	if r.hold != nil {
		select {
		case <-r.hold:
		case <-ctx.Done():
			return models.Certificate{}, ctx.Err()
		}
	}
	if r.fails != nil {
		return models.Certificate{}, r.fails
	}
	return models.Certificate{}, models.ErrNotFound
}

// at makes the pages over a register; what they log is in the buffer.
func at(r *register) (http.Handler, *bytes.Buffer) {
	var log bytes.Buffer
	clock := func() time.Time { return noon }
	utc := func(context.Context) *time.Location { return time.UTC }
	return New(lookup.New(r, clock, utc), Options{Now: clock, Log: slog.New(slog.NewTextHandler(&log, nil))}), &log
}

func get(h http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w
}

func TestTooManyQuestions(t *testing.T) {
	h, _ := at(&register{})
	for i := range 30 {
		if w := get(h, "/"+token); w.Code != http.StatusNotFound {
			t.Fatalf("question %d: %d", i+1, w.Code)
		}
	}
	for _, path := range []string{"/" + token, "/", "/robots.txt"} {
		w := get(h, path)
		if w.Code != http.StatusTooManyRequests || w.Header().Get("Retry-After") != "2" || !strings.Contains(w.Body.String(), "Too many questions") {
			t.Errorf("%s: %d, again after %q: %s", path, w.Code, w.Header().Get("Retry-After"), w.Body)
		}
	}
}

// A register that fails says nothing about the paper, and the log nothing about
// the token.
func TestARegisterThatFails(t *testing.T) {
	h, log := at(&register{fails: errors.New("disk full")})
	w := get(h, "/"+token)
	if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "says nothing about your paper") || strings.Contains(w.Body.String(), "disk") {
		t.Errorf("%d: %s", w.Code, w.Body)
	}
	if !strings.Contains(log.String(), "disk full") || strings.Contains(log.String(), token) {
		t.Errorf("the log says %q; want the cause without the token", log)
	}
}

// Strangers who look up at the same time share a few places, so that the shop's
// own work goes on; whoever gets none is told to come back.
func TestStrangersDoNotKeepTheShopWaiting(t *testing.T) {
	r := &register{hold: make(chan struct{})}
	h, _ := at(r)
	inside := make(chan int, atOnce)
	for range atOnce {
		go func() { inside <- get(h, "/"+token).Code }()
	}
	for until := time.Now().Add(5 * time.Second); len(h.(*handler).slots) < atOnce && time.Now().Before(until); {
		time.Sleep(time.Millisecond)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/"+token, nil).WithContext(ctx))
	if w.Code != http.StatusServiceUnavailable {
		t.Errorf("one more: %d, want to be told to come back", w.Code)
	}
	close(r.hold)
	for range atOnce {
		if code := <-inside; code != http.StatusNotFound {
			t.Errorf("one that had a place: %d", code)
		}
	}
	if w := get(h, "/"+token); w.Code != http.StatusNotFound {
		t.Errorf("afterwards: %d", w.Code)
	}
}

func TestWhatBrowsersAreToldAboutAPage(t *testing.T) {
	h, _ := at(&register{})
	w := get(h, "/")
	page := w.Body.String()
	if !strings.Contains(page, "<header>Wren &amp; Sons &lt;Ltd&gt;</header>") {
		t.Errorf("the shop's name is not plain text: %s", page)
	}
	// The style in the page is the one that the policy knows, by the sum that
	// browsers compute over what stands between the tags.
	inside := regexp.MustCompile(`(?s)<style>(.*?)</style>`).FindStringSubmatch(page)
	if inside == nil {
		t.Fatal("the page has no style")
	}
	sum := sha256.Sum256([]byte(inside[1]))
	known := "style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	header := w.Header().Get("Content-Security-Policy")
	inPage := strings.NewReplacer("&#39;", "'", "&#43;", "+").Replace(page)
	for name, policy := range map[string]string{"header": header, "page": regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindString(inPage)} {
		for _, want := range []string{"default-src 'none'", known, "form-action 'self'", "base-uri 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("the policy of the %s is %q, without %q", name, policy, want)
			}
		}
	}
	for _, never := range []string{"<script", " style=", "src=", "<link", "url("} {
		if strings.Contains(page, never) {
			t.Errorf("the page has %q", never)
		}
	}
}

// The pages of strangers wear the shop's colours.
func TestColoursAreThoseOfTheShopsPages(t *testing.T) {
	tokens, err := os.ReadFile("../web/static/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	value := regexp.MustCompile(`(--[a-z0-9-]+):\s*(#[0-9a-f]{6})`)
	of := map[string]string{}
	for _, m := range value.FindAllStringSubmatch(string(tokens), -1) {
		of[m[1]] = m[2]
	}
	ours := value.FindAllStringSubmatch(style, -1)
	if len(ours) < 10 {
		t.Fatalf("only %d colours were found", len(ours))
	}
	for _, m := range ours {
		if of[m[1]] != m[2] {
			t.Errorf("%s is %s here and %q there", m[1], m[2], of[m[1]])
		}
		if strings.Count(style, "var("+m[1]+")") == 0 {
			t.Errorf("%s is used nowhere", m[1])
		}
	}
}

// Every rule, verdict and state has its words; a pass is green on a certificate
// in force alone.
func TestEveryCodeHasWordsOnThePage(t *testing.T) {
	for _, rule := range []string{"simple", "guarded", "nonbinary", "iso14253"} {
		for _, state := range []string{models.Issued, models.Superseded, models.Void} {
			for _, verdict := range []string{models.VerdictPass, models.VerdictFail, models.VerdictProvisional, models.VerdictIncomplete, "conditional_pass", "conditional_fail", "conformity_verified", "nonconformity_verified", "not_verified"} {
				c := lookup.Certificate{Number: "C31-00001", Revision: 1, Kind: models.KindPack, Specification: models.CertificateSpecification{Of: "packs", Revision: 1, Grade: "B", Rule: rule, GuardFactor: "0.83"},
					State: state, EndedOn: "2031-05-12", Successor: 2, Verdict: verdict, Results: []lookup.Result{{Code: "ocv_spread", Verdict: verdict}}, At: noon}
				body, err := pageOf(c).render()
				if err != nil {
					t.Fatal(err)
				}
				name := fmt.Sprintf("%s, %s, %s", rule, state, verdict)
				main := string(body[bytes.Index(body, []byte("<main>")):])
				if unsaid := regexp.MustCompile(`\[[a-z._]+\]|\{[a-z]+\}`).FindString(main); unsaid != "" {
					t.Errorf("%s: the page says %s", name, unsaid)
				}
				passes := verdict == models.VerdictPass || verdict == "conformity_verified"
				if green := strings.Contains(main, `<td><span class="word pass">`); green != (passes && state == models.Issued) {
					t.Errorf("%s: green %v", name, green)
				}
			}
		}
	}
}

// A stranger is told of a concession, and that no limit is missed where it is for
// something else.
func TestConcessionsAreTold(t *testing.T) {
	in := speech{words.In("en")}
	for verdict, want := range map[string]string{
		models.VerdictFail:        "The wheel does not meet its specification in full, and was released under concession NC31-00001, which its paper states.",
		models.VerdictPass:        "The wheel is released under concession NC31-00001, for something that none of its results shows.",
		models.VerdictProvisional: "The wheel is released under concession NC31-00001, for something that none of its results shows.",
	} {
		if got := in.verdictOf(lookup.Certificate{Kind: models.KindWheel, Verdict: verdict, Concession: "NC31-00001"}); got != want {
			t.Errorf("%s: %q", verdict, got)
		}
	}
}
