package release_test

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// onPaper is the address with its token, as the shop's paper shows it.
var onPaper = regexp.MustCompile(`^https://shop\.example/check/([0-9A-HJKMNP-TV-Z]{4}-){6}[0-9A-HJKMNP-TV-Z]{4}$`)

func TestACertificateSaysWhereItIsLookedUp(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		drawn := 0
		s := service(h, &drawn)
		issue := func(address, reason string) (models.Certificate, models.CertificateContent) {
			h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingPublicAddress, address))
			c, err := s.Issue(t.Context(), h.Operator, h.Item[models.KindWheel].ID, reason)
			h.Must(err)
			var content models.CertificateContent
			h.Must(json.Unmarshal([]byte(c.Content), &content))
			return c, content
		}
		h.MustRecord(h.Extremes())
		without, content := issue("", "")
		if content.CheckAt != "" || without.TokenHash != nil || strings.Contains(without.Content, "check_at") {
			t.Errorf("without an address the paper says %q and a token is kept: %v", content.CheckAt, without.TokenHash != nil)
		}
		seen := map[string]bool{}
		for _, address := range []string{"https://shop.example/check", "https://shop.example/check/"} {
			c, content := issue(address, "again")
			if !onPaper.MatchString(content.CheckAt) || seen[content.CheckAt] {
				t.Errorf("under %s the paper says %q; want an address of its own", address, content.CheckAt)
			}
			seen[content.CheckAt] = true
			found, err := h.Store.CertificateByToken(t.Context(), models.TokenHash(strings.TrimPrefix(content.CheckAt, "https://shop.example/check/")))
			h.Must(err)
			if found.ID != c.ID {
				t.Errorf("the token of revision %d finds revision %d", c.Revision, found.Revision)
			}
			// The trail shows a digest; the token in it would let anybody who reads
			// the trail through.
			entries, err := h.Store.TrailOf(t.Context(), []string{c.ID}, 10)
			h.Must(err)
			raw, err := json.Marshal(entries)
			h.Must(err)
			if len(entries) == 0 || strings.Contains(string(raw), content.Token()) || strings.Contains(string(raw), *c.TokenHash) {
				t.Errorf("%d entries of the trail, which hold the token", len(entries))
			}
		}
	})
}
