package servertest

import (
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
	"tracewright/server/app"
	"tracewright/server/keyring"
	"tracewright/server/logs"
	"tracewright/server/metrics"
)

// counted opens the server anew over the same shop, with its requests counted and
// its log sealed.
func (s *Shop) counted(t *testing.T, m *metrics.Metrics) {
	t.Helper()
	keys, err := keyring.Open(t.TempDir())
	s.Must(err)
	s.App, err = app.New(s.Store, app.Config{Now: time.Now, Keys: keys, Sealing: worktest.NewSigner(), Cost: cheap, Metrics: m, Log: logs.New(t.Output(), "text", false)})
	s.Must(err)
	s.Must(s.App.Services.Sealing.Begin(t.Context()))
}

// exposed reads what a collector is told, by the parser of its own format.
func exposed(t *testing.T, m *metrics.Metrics) map[string]*dto.MetricFamily {
	t.Helper()
	w := httptest.NewRecorder()
	m.Handler("").ServeHTTP(w, httptest.NewRequest(http.MethodGet, "http://127.0.0.1:9100/metrics", nil))
	if w.Code != http.StatusOK {
		t.Fatalf("%d: %s", w.Code, w.Body)
	}
	parser := expfmt.NewTextParser(model.LegacyValidation)
	families, err := parser.TextToMetricFamilies(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	return families
}

// series is the one of a family with these labels, "name=value".
func series(t *testing.T, families map[string]*dto.MetricFamily, family string, labels ...string) *dto.Metric {
	t.Helper()
	for _, m := range families[family].GetMetric() {
		have := map[string]bool{}
		for _, l := range m.GetLabel() {
			have[l.GetName()+"="+l.GetValue()] = true
		}
		all := true
		for _, l := range labels {
			all = all && have[l]
		}
		if all {
			return m
		}
	}
	t.Errorf("%s has no series with %v: %v", family, labels, families[family].GetMetric())
	return &dto.Metric{}
}

// What is asked, recorded, refused and sealed is counted: by routes' patterns and
// by codes, with nothing of whom or what it was about.
func TestWhatIsCounted(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		m := metrics.New("test")
		s.counted(t, m)
		s.Now = time.Now() // Seals are dated by the wall clock here.
		wheel := ident.Print(s.Serial[models.KindWheel])
		taken, unknown := s.Extremes(), s.Extremes()
		unknown.Serial = s.unknownSerial()
		wrong := s.Extremes()
		wrong.Sets[0].Values = []string{"0,13", "minus nine"}
		s.Run(t, []Row{
			{Name: "one item", Who: OperatorAtStand, Path: "/api/v1/items/" + wheel, Status: http.StatusOK},
			{Name: "another", Who: OperatorAtStand, Path: "/api/v1/items/" + s.unknownSerial(), Status: http.StatusNotFound},
			{Name: "nowhere", Who: Nobody, Path: "/wp-login.php", Status: http.StatusNotFound},
			{Name: "elsewhere", Who: Nobody, Path: "/customers/Mara%20Example/../secret", Status: http.StatusNotFound},
			{Name: "in no known way", Who: Nobody, Method: "BREW", Path: "/", Status: http.StatusMethodNotAllowed},
			{Name: "an inspection", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: taken, Status: http.StatusCreated},
			{Name: "again", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: taken, Status: http.StatusOK},
			{Name: "of a wheel nobody knows", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: unknown, Status: http.StatusAccepted},
			{Name: "with a word for a figure", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: wrong, Status: http.StatusUnprocessableEntity},
		})
		_, err := s.App.Services.Sealing.Seal(t.Context())
		s.Must(err)
		found := exposed(t, m)
		for _, c := range []struct {
			family string
			labels []string
			want   float64
		}{
			{"tracewright_requests_total", []string{"method=GET", "route=/api/v1/items/:item", "status=200"}, 1},
			{"tracewright_requests_total", []string{"method=GET", "route=/api/v1/items/:item", "status=404"}, 1},
			{"tracewright_requests_total", []string{"method=GET", "route=none", "status=404"}, 2},
			{"tracewright_requests_total", []string{"method=other", "route=none", "status=405"}, 1},
			{"tracewright_requests_total", []string{"method=POST", "route=/api/v1/inspections", "status=422"}, 1},
			{"tracewright_refused_readings_total", []string{"reason=not_a_number"}, 1},
			{"tracewright_build_info", []string{"version=test"}, 1},
			{"tracewright_ready", nil, 1},
			{"tracewright_unsealed_entries", nil, 0},
			{"tracewright_capture_queue", nil, 0},
			{"tracewright_last_good_backup_timestamp_seconds", nil, 0},
		} {
			x := series(t, found, c.family, c.labels...)
			if got := x.GetCounter().GetValue() + x.GetGauge().GetValue(); got != c.want {
				t.Errorf("%s %v is %g, want %g", c.family, c.labels, got, c.want)
			}
		}
		for outcome, want := range map[string]uint64{metrics.Stored: 1, metrics.Repeated: 1, metrics.Unplaced: 1, metrics.Refused: 1, metrics.Failed: 0} {
			h := series(t, found, "tracewright_capture_seconds", "outcome="+outcome).GetHistogram()
			if h.GetSampleCount() != want || want > 0 && (h.GetSampleSum() <= 0 || h.GetSampleSum() > 60) {
				t.Errorf("%s: %d inspections in %g s, want %d", outcome, h.GetSampleCount(), h.GetSampleSum(), want)
			}
		}
		if h := series(t, found, "tracewright_sealing_delay_seconds").GetHistogram(); h.GetSampleCount() == 0 {
			t.Error("no turn of sealing is counted")
		}
		if n := series(t, found, "tracewright_sealed_entries_total").GetCounter().GetValue(); n < 2 {
			t.Errorf("%g entries were sealed", n)
		}
		if n := series(t, found, "tracewright_database_connections", "state=most").GetGauge().GetValue(); n < 1 {
			t.Errorf("%g connections at most", n)
		}
		series(t, found, "tracewright_database_waits_total")
		series(t, found, "tracewright_database_wait_seconds_total")

		private := regexp.MustCompile(`(?i)mara|` + s.Serial[models.KindWheel] + `|` + unknown.Serial + `|wp-login`)
		for name, f := range found {
			if all := f.String(); private.MatchString(all) {
				t.Errorf("%s tells %q", name, private.FindString(all))
			}
			if strings.HasPrefix(name, "tracewright_") && f.GetHelp() == "" {
				t.Errorf("%s has no words", name)
			}
		}
	})
}

// However many addresses are asked for, there are as many series as routes.
func TestSeriesDoNotGrowWithWhatIsAskedFor(t *testing.T) {
	s := On(t, openSQLite(t))
	m := metrics.New("test")
	s.counted(t, m)
	ask := func(from, to int) int {
		for n := from; n < to; n++ {
			serial, _, err := ident.Next(ident.Wheel, 31, 40_000+n)
			s.Must(err)
			for _, path := range []string{"/api/v1/items/" + serial, "/items/" + serial, "/" + serial, "/setup/" + serial} {
				s.Do(t, Row{Who: Owner, Path: path})
			}
		}
		n := 0
		for _, f := range exposed(t, m) {
			n += len(f.GetMetric())
		}
		return n
	}
	if first, then := ask(0, 3), ask(3, 40); first != then {
		t.Errorf("%d series after three serials, %d after forty", first, then)
	}
}

// A page of another site that points a name of its own at this machine reads
// nothing.
func TestMetricsByAnotherName(t *testing.T) {
	m := metrics.New("test")
	for host, want := range map[string]int{"127.0.0.1:9100": 200, "[::1]:9100": 200, "localhost:9100": 200, "elsewhere.example:9100": 421, "": 421} {
		r := httptest.NewRequest(http.MethodGet, "http://127.0.0.1:9100/metrics", nil)
		r.Host = host
		w := httptest.NewRecorder()
		m.Handler("").ServeHTTP(w, r)
		if w.Code != want {
			t.Errorf("asked by the name %q: %d, want %d", host, w.Code, want)
		}
	}
}

// A collector that waits while the database is asked does not hold up more than it
// may: a fifth is told to come back.
func TestCollectorsAtOnce(t *testing.T) {
	m := metrics.New("test")
	asked, answer := make(chan struct{}, 8), make(chan struct{})
	m.Watch(metrics.State{Queued: func() int { asked <- struct{}{}; <-answer; return 0 }})
	h := m.Handler("")
	ask := func() *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "http://127.0.0.1:9100/metrics", nil))
		return w
	}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			if w := ask(); w.Code != http.StatusOK {
				t.Errorf("one of four: %d", w.Code)
			}
		})
	}
	for range 4 {
		<-asked
	}
	if w := ask(); w.Code != http.StatusServiceUnavailable {
		t.Errorf("a fifth at once: %d, want %d", w.Code, http.StatusServiceUnavailable)
	}
	close(answer)
	wait.Wait()
	if w := ask(); w.Code != http.StatusOK || !strings.HasPrefix(w.Header().Get("Content-Type"), "text/plain; version=0.0.4; charset=utf-8") {
		t.Errorf("after them: %d as %q", w.Code, w.Header().Get("Content-Type"))
	}
}
