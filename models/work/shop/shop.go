// Package shop keeps the few things that a workshop says about itself: its
// name and address, as certificates print them, its time zone, the public
// address under which its certificates can be looked up, if it has one, the size
// of its labels, and how long its warranty runs.
package shop

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"tracewright/models"
	"tracewright/models/zones"
)

// Store is what the package asks of the database.
type Store interface {
	Settings(ctx context.Context) (map[string]string, error)
	// ChangeSettings lets change decide over the settings as they stand now, and sets
	// what it answers with as one step; an error of change leaves all as they were.
	ChangeSettings(ctx context.Context, stamp models.Stamp, change func(now map[string]string) ([]models.Setting, error)) error
}

// Service reads and writes the settings.
type Service struct {
	store Store
	now   func() time.Time

	mu    sync.Mutex
	zone  *time.Location
	read  time.Time
	tried time.Time // when it could not be read
	set   int       // how often it was set here: what was read before is not kept
}

// New makes the service.
func New(store Store, now func() time.Time) *Service { return &Service{store: store, now: now} }

// Settings are what the shop says about itself.
type Settings struct {
	Name          string
	Address       string
	TimeZone      string // IANA name: Europe/Lisbon
	PublicAddress string // https address; empty when there is none
	LookReason    bool   // why is asked for at each look at a customer
	BlockOverdue  bool   // nothing is judged by an overdue gauge
	LabelSize     string // code of the label that one tap prints
	PaperLanguage string // tag of the language of certificates; empty in Set: as it was

	SecondPerson []string // of models.SecondPersons: what another person has to confirm

	WarrantyMonths string // whole number, from the shipment on; empty in Set: as it was

	HourlyRate   string // what an hour at a stand costs, decimal text; empty: nobody says
	RateCurrency string
	ClaimDays    string // working days within which a claim is answered; empty in Set: as it was
	ChartAlarms  string // false alarms a month of all watched charts together; empty in Set: as it was

	SecondSecret    bool   // desk and owner need a second factor beside their password
	LockMinutes     string // without a hand at it a stand locks, and an office session ends; empty in Set: as it was
	RetentionMonths string // after their last dealings customers are due to be erased; empty: no rule

	Digest string // of all of them as they stand; in Set: as they stood when they were looked at, empty: however they stand
}

// Settings gives the present ones.
func (s *Service) Settings(ctx context.Context) (Settings, error) {
	values, err := s.store.Settings(ctx)
	if err != nil {
		return Settings{}, fmt.Errorf("settings of the shop: %w", err)
	}
	return Settings{Name: values[models.SettingShopName], Address: values[models.SettingShopAddress], TimeZone: values[models.SettingTimeZone],
		PublicAddress: values[models.SettingPublicAddress], LookReason: values[models.SettingLookReason] == "yes", BlockOverdue: values[models.SettingBlockOverdue] == "yes", SecondPerson: strings.Fields(values[models.SettingSecondPerson]), LabelSize: cmp.Or(values[models.SettingLabelSize], models.UsualLabelSize),
		PaperLanguage:  models.LanguageOr(values[models.SettingPaperLanguage]),
		WarrantyMonths: cmp.Or(values[models.SettingWarrantyMonths], strconv.Itoa(models.UsualWarrantyMonths)),
		HourlyRate:     values[models.SettingHourlyRate], RateCurrency: values[models.SettingRateCurrency],
		ClaimDays:   cmp.Or(values[models.SettingClaimDays], strconv.Itoa(models.UsualClaimDays)),
		ChartAlarms: cmp.Or(values[models.SettingChartAlarms], strconv.Itoa(models.UsualChartAlarms)),

		SecondSecret: values[models.SettingSecondSecret] == "yes", LockMinutes: cmp.Or(values[models.SettingLockMinutes], strconv.Itoa(models.UsualLockMinutes)), RetentionMonths: values[models.SettingRetentionMonths], Digest: digestOf(values)}, nil
}

// Set changes those that differ, as one step; each change is an entry of the trail.
// Where they were changed since in.Digest it is [models.ErrStale].
func (s *Service) Set(ctx context.Context, actor models.Actor, in Settings) error {
	in = Settings{Name: models.Trimmed(in.Name), Address: models.Trimmed(in.Address), TimeZone: strings.TrimSpace(in.TimeZone), PublicAddress: strings.TrimSpace(in.PublicAddress), LookReason: in.LookReason, BlockOverdue: in.BlockOverdue, SecondPerson: in.SecondPerson, LabelSize: in.LabelSize, PaperLanguage: in.PaperLanguage, WarrantyMonths: strings.TrimSpace(in.WarrantyMonths), ClaimDays: strings.TrimSpace(in.ClaimDays), ChartAlarms: strings.TrimSpace(in.ChartAlarms),
		SecondSecret: in.SecondSecret, LockMinutes: strings.TrimSpace(in.LockMinutes), RetentionMonths: strings.TrimSpace(in.RetentionMonths), Digest: in.Digest,
		HourlyRate: strings.Replace(strings.TrimSpace(in.HourlyRate), ",", ".", 1), RateCurrency: models.OneLine(in.RateCurrency)}
	if err := check(in); err != nil {
		return err
	}
	err := s.store.ChangeSettings(ctx, models.NewStamp(actor, s.now()), func(now map[string]string) ([]models.Setting, error) {
		if in.Digest != "" && in.Digest != digestOf(now) {
			return nil, models.ErrStale
		}
		return slices.DeleteFunc(in.list(), func(x models.Setting) bool {
			// What is empty may say nothing about it.
			return now[x.Name] == x.Value || x.Value == "" && slices.Contains(keptWhereEmpty, x.Name)
		}), nil
	})
	if err != nil {
		return fmt.Errorf("set what the shop says: %w", err)
	}
	s.mu.Lock()
	s.zone = nil
	s.set++
	s.mu.Unlock()
	return nil
}

// list are the settings as they are kept.
func (in Settings) list() []models.Setting {
	return []models.Setting{{Name: models.SettingShopName, Value: in.Name}, {Name: models.SettingShopAddress, Value: in.Address}, {Name: models.SettingTimeZone, Value: in.TimeZone}, {Name: models.SettingPublicAddress, Value: in.PublicAddress}, {Name: models.SettingLookReason, Value: yes(in.LookReason)},
		{Name: models.SettingBlockOverdue, Value: yes(in.BlockOverdue)}, {Name: models.SettingSecondPerson, Value: strings.Join(in.SecondPerson, " ")},
		{Name: models.SettingLabelSize, Value: in.LabelSize}, {Name: models.SettingPaperLanguage, Value: in.PaperLanguage}, {Name: models.SettingWarrantyMonths, Value: in.WarrantyMonths},
		{Name: models.SettingHourlyRate, Value: in.HourlyRate}, {Name: models.SettingRateCurrency, Value: in.RateCurrency}, {Name: models.SettingClaimDays, Value: in.ClaimDays}, {Name: models.SettingChartAlarms, Value: in.ChartAlarms},
		{Name: models.SettingSecondSecret, Value: yes(in.SecondSecret)}, {Name: models.SettingLockMinutes, Value: in.LockMinutes}, {Name: models.SettingRetentionMonths, Value: in.RetentionMonths}}
}

// digestOf tells the settings of this form apart from what they were before a change.
func digestOf(values map[string]string) string {
	sum := sha256.New()
	for _, x := range (Settings{}).list() {
		fmt.Fprintf(sum, "%s=%q\n", x.Name, values[x.Name])
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// keptWhereEmpty are the settings that an empty text leaves as they were.
var keptWhereEmpty = []string{models.SettingLabelSize, models.SettingPaperLanguage, models.SettingWarrantyMonths, models.SettingClaimDays, models.SettingChartAlarms, models.SettingLockMinutes}

// yes writes an option down; off is the empty text.
func yes(on bool) string {
	if on {
		return "yes"
	}
	return ""
}

func check(in Settings) error {
	invalid := &models.InvalidError{}
	if in.Name == "" {
		invalid.Add("name", "missing")
	}
	invalid.Line("name", in.Name, 400)
	invalid.Lines("address", in.Address, 400)
	if _, err := zones.Load(in.TimeZone); in.TimeZone == "" || err != nil {
		invalid.Add("time_zone", "unknown_time_zone", "typed", in.TimeZone)
	}
	if in.PublicAddress != "" {
		u, err := url.Parse(in.PublicAddress)
		switch {
		case err != nil || u.Scheme != "https" || u.Host == "" || u.User != nil || strings.ContainsAny(in.PublicAddress, "?# "):
			invalid.Add("public_address", "not_an_https_address")
		case len(in.PublicAddress) > longAddress:
			invalid.Add("public_address", "too_long", "most", strconv.Itoa(longAddress))
		}
	}
	if _, known := models.LabelSizeOf(in.LabelSize); in.LabelSize != "" && !known {
		invalid.Add("label_size", "unknown_choice", "typed", models.Shortened(in.LabelSize))
	}
	for _, what := range in.SecondPerson {
		if !slices.Contains(models.SecondPersons, what) {
			invalid.Add("second_person", "unknown_choice", "typed", models.Shortened(what))
		}
	}
	if in.PaperLanguage != "" && !slices.Contains(models.Languages, in.PaperLanguage) {
		invalid.Add("paper_language", "unknown_choice", "typed", models.Shortened(in.PaperLanguage))
	}
	if n, err := strconv.Atoi(in.WarrantyMonths); in.WarrantyMonths != "" && (err != nil || n < 0 || n > mostWarranty) {
		invalid.Add("warranty_months", "not_months", "most", strconv.Itoa(mostWarranty))
	}
	if n, err := strconv.Atoi(in.ClaimDays); in.ClaimDays != "" && (err != nil || n < 1 || n > mostClaimDays) {
		invalid.Add("claim_days", "not_days", "most", strconv.Itoa(mostClaimDays))
	}
	checkRate(in, invalid)
	if n, err := strconv.Atoi(in.LockMinutes); in.LockMinutes != "" && (err != nil || n < models.FewestLockMinutes || n > models.MostLockMinutes) {
		invalid.Add("lock_minutes", "not_lock_minutes", "least", strconv.Itoa(models.FewestLockMinutes), "most", strconv.Itoa(models.MostLockMinutes))
	}
	if n, err := strconv.Atoi(in.RetentionMonths); in.RetentionMonths != "" && (err != nil || n < 1 || n > mostWarranty) {
		invalid.Add("retention_months", "not_months", "most", strconv.Itoa(mostWarranty))
	}
	if x, err := strconv.ParseFloat(in.ChartAlarms, 64); in.ChartAlarms != "" && (err != nil || !(x >= models.FewestChartAlarms && x <= models.MostChartAlarms)) {
		invalid.Add("chart_alarms", "not_alarms", "least", fmt.Sprint(models.FewestChartAlarms), "most", fmt.Sprint(models.MostChartAlarms))
	}
	return invalid.OrNil()
}

// mostClaimDays is the longest time for an answer that is no slip of a finger.
const mostClaimDays = 90

// checkRate wants an amount with its currency, or neither.
func checkRate(in Settings, invalid *models.InvalidError) {
	if in.HourlyRate == "" && in.RateCurrency == "" {
		return
	}
	rate, err := strconv.ParseFloat(in.HourlyRate, 64)
	if plain := strings.Trim(in.HourlyRate, "0123456789.") == ""; err != nil || !plain || rate <= 0 || rate > mostRate {
		invalid.Add("hourly_rate", "not_an_amount")
	}
	if in.RateCurrency == "" {
		invalid.Add("rate_currency", "missing")
	}
	invalid.Line("rate_currency", in.RateCurrency, longestCurrency)
}

const (
	mostRate        = 1_000_000 // an hour costs no more anywhere
	longestCurrency = 12
)

// longAddress is the longest public address: with a token behind it, its code
// on paper is still read by a phone.
const longAddress = 80

// mostWarranty is the longest warranty, in months, that is no slip of a finger.
const mostWarranty = 240

// zoneKept is how long a zone read from the database is taken as it is.
const (
	zoneKept = time.Minute
	// zoneAgain is when it is asked for again after a failure, and zoneWithin how long
	// whoever needs it waits: everybody does.
	zoneAgain  = 2 * time.Second
	zoneWithin = 3 * time.Second
)

// Zone is the shop's time zone, UTC until one is set. Nothing is locked while it is
// asked for: parts of one question may ask for it together.
func (s *Service) Zone(ctx context.Context) *time.Location {
	s.mu.Lock()
	known, now, set := s.zone, s.now(), s.set
	kept := known != nil && (now.Sub(s.read).Abs() < zoneKept || now.Sub(s.tried).Abs() < zoneAgain)
	s.mu.Unlock()
	if kept {
		return known
	}
	within, cancel := context.WithTimeout(ctx, zoneWithin)
	defer cancel()
	values, err := s.store.Settings(within)
	s.mu.Lock()
	defer s.mu.Unlock()
	if err != nil {
		// A zone that was read once stays; one that could not be read is not kept.
		if ctx.Err() == nil { // Whoever goes away meanwhile says nothing of the database.
			s.tried = s.now()
		}
		return cmp.Or(s.zone, time.UTC)
	}
	zone := time.UTC
	if found, err := zones.Load(values[models.SettingTimeZone]); err == nil && values[models.SettingTimeZone] != "" {
		zone = found
	}
	if set == s.set {
		s.zone, s.read = zone, s.now()
	}
	return zone
}
