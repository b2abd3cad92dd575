package access

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base32"
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/pquerna/otp"
	"github.com/pquerna/otp/hotp"

	"tracewright/models"
)

// The second factor is a time-based one-time password (RFC 6238) as every
// authenticator computes it: HMAC-SHA-1, steps of 30 s, six digits. One step
// before and after counts for clocks that differ (RFC 6238, 5.2), and each step
// once (OWASP ASVS 5.0, 6.5.1).
const (
	stepSeconds  = 30
	secretBytes  = 20 // RFC 4226, 4: 160 bits
	beginsWithin = 30 * time.Minute
)

// codeOf is the code of a step (RFC 6238, 4.2).
func codeOf(secret string, step int64, digits otp.Digits) (string, error) {
	code, err := hotp.GenerateCodeCustom(secret, uint64(step), hotp.ValidateOpts{Digits: digits, Algorithm: otp.AlgorithmSHA1})
	if err != nil {
		return "", fmt.Errorf("compute a code: %w", err)
	}
	return code, nil
}

func stepAt(t time.Time) int64 { return t.Unix() / stepSeconds }

// stepOf finds the step whose code was typed, around now.
func (s *Service) stepOf(secret, typed string) (step int64, right bool, err error) {
	now := stepAt(s.now())
	for _, near := range []int64{now, now - 1, now + 1} {
		code, err := codeOf(secret, near, otp.DigitsSix)
		if err != nil {
			return 0, false, err
		}
		if subtle.ConstantTimeCompare([]byte(code), []byte(typed)) == 1 {
			step, right = near, true
		}
	}
	return step, right, nil
}

// Second says how a person's second factor stands.
type Second struct {
	Set      bool
	Since    time.Time
	Recovery int  // codes that were not used
	Demanded bool // the shop wants one of this person
}

// Second tells how a person's second factor stands.
func (s *Service) Second(ctx context.Context, personID string) (Second, error) {
	person, err := s.AnyPerson(ctx, personID)
	if err != nil {
		return Second{}, err
	}
	out := Second{}
	if out.Demanded, err = s.demandsSecond(ctx, person); err != nil {
		return Second{}, err
	}
	x, err := s.confirmedSecond(ctx, personID)
	if errors.Is(err, models.ErrNotFound) {
		return out, nil
	}
	if err != nil {
		return Second{}, err
	}
	codes, err := s.store.RecoveryCodes(ctx, personID)
	if err != nil {
		return Second{}, err
	}
	out.Set, out.Since = true, *x.ConfirmedAt
	for _, c := range codes {
		if c.UsedAt == nil {
			out.Recovery++
		}
	}
	return out, nil
}

// SecondsSet says who has a second factor, by the keys of people.
func (s *Service) SecondsSet(ctx context.Context) (map[string]bool, error) {
	found, err := s.store.SecondSecrets(ctx)
	set := make(map[string]bool, len(found))
	for _, x := range found {
		set[x.PersonID] = true
	}
	return set, err
}

// demandsSecond says whether the shop wants a second factor of somebody: of desk
// and owner, where it says so.
func (s *Service) demandsSecond(ctx context.Context, p models.Person) (bool, error) {
	if p.Role != models.Desk && p.Role != models.Owner {
		return false, nil
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return false, fmt.Errorf("settings of the shop: %w", err)
	}
	return settings[models.SettingSecondSecret] == "yes", nil
}

func (s *Service) confirmedSecond(ctx context.Context, personID string) (models.SecondSecret, error) {
	x, err := s.store.SecondSecret(ctx, personID)
	if err == nil && x.ConfirmedAt == nil {
		err = fmt.Errorf("second factor waits for its first code: %w", models.ErrNotFound)
	}
	return x, err
}

// AfterPassword says what is asked of somebody whose password was right: a code,
// or, where the shop demands a second factor and they have none, to set one up
// before anything else.
func (s *Service) AfterPassword(ctx context.Context, p models.Person) (code, setUp bool, err error) {
	_, err = s.confirmedSecond(ctx, p.ID)
	switch {
	case err == nil:
		return true, false, nil
	case !errors.Is(err, models.ErrNotFound):
		return false, false, err
	}
	setUp, err = s.demandsSecond(ctx, p)
	return false, setUp, err
}

// Offered is a second factor as an authenticator takes it in.
type Offered struct {
	Secret string // base32, in groups of four as a person types it
	URI    string // for a QR code: otpauth://totp/...
}

// BeginSecond makes a second factor for the actor, which counts once a code of it
// was given. The shop's name tells it from others in an authenticator.
func (s *Service) BeginSecond(ctx context.Context, actor models.Actor) (Offered, error) {
	person, err := s.ownAtOffice(ctx, actor)
	if err != nil {
		return Offered{}, err
	}
	raw := make([]byte, secretBytes)
	if _, err := rand.Read(raw); err != nil {
		return Offered{}, fmt.Errorf("make a second factor: %w", err)
	}
	secret := base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(raw)
	if err := s.store.BeginSecondSecret(ctx, models.SecondSecret{PersonID: person.ID, Secret: secret, BegunAt: s.now()}); err != nil {
		return Offered{}, fmt.Errorf("begin a second factor: %w", err)
	}
	return s.offered(ctx, person, secret)
}

// OfferedSecond is the one that waits for its first code; [models.ErrNotFound]
// where none does, or no longer.
func (s *Service) OfferedSecond(ctx context.Context, actor models.Actor) (Offered, error) {
	person, err := s.ownAtOffice(ctx, actor)
	if err != nil {
		return Offered{}, err
	}
	x, err := s.waitingSecond(ctx, person.ID)
	if err != nil {
		return Offered{}, err
	}
	return s.offered(ctx, person, x.Secret)
}

func (s *Service) offered(ctx context.Context, person models.Person, secret string) (Offered, error) {
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return Offered{}, fmt.Errorf("settings of the shop: %w", err)
	}
	issuer := "Tracewright"
	if name := settings[models.SettingShopName]; name != "" {
		issuer = string([]rune(name)[:min(40, len([]rune(name)))]) // A long name makes a code that phones read with trouble.
	}
	login := person.Name
	if person.Login != nil {
		login = *person.Login
	}
	// The label and its parameters as authenticators agreed on them; a colon parts issuer and login.
	label := url.PathEscape(strings.ReplaceAll(issuer, ":", " ")) + ":" + url.PathEscape(login)
	query := url.Values{"secret": {secret}, "issuer": {strings.ReplaceAll(issuer, ":", " ")}}
	uri := "otpauth://totp/" + label + "?" + strings.ReplaceAll(query.Encode(), "+", "%20")
	var groups []string
	for from := 0; from < len(secret); from += 4 {
		groups = append(groups, secret[from:min(from+4, len(secret))])
	}
	return Offered{Secret: strings.Join(groups, " "), URI: uri}, nil
}

// waitingSecond is the one that waits for its first code.
func (s *Service) waitingSecond(ctx context.Context, personID string) (models.SecondSecret, error) {
	x, err := s.store.SecondSecret(ctx, personID)
	if err == nil && (x.ConfirmedAt != nil || s.now().Sub(x.BegunAt) > beginsWithin) {
		err = fmt.Errorf("no second factor waits for its first code: %w", models.ErrNotFound)
	}
	return x, err
}

// ConfirmSecond puts the actor's second factor in force by a first code of it,
// gives the recovery codes, this once, and ends their other sessions (OWASP ASVS
// 5.0, 7.4.3); keep is the hash of the one they are in.
func (s *Service) ConfirmSecond(ctx context.Context, actor models.Actor, code, keep string) (recovery []string, err error) {
	person, err := s.ownAtOffice(ctx, actor)
	if err != nil {
		return nil, err
	}
	x, err := s.waitingSecond(ctx, person.ID)
	if err != nil {
		return nil, err
	}
	about := codeTries(person.ID, "")
	left, err := s.beginTry(ctx, about)
	if err != nil {
		return nil, err
	}
	step, right, err := s.stepOf(x.Secret, bareCode(code))
	if err != nil {
		return nil, err
	}
	if !right {
		return nil, models.Invalid("code", "code_wrong", "left", strconv.Itoa(left))
	}
	recovery, hashes, err := s.newRecoveryCodes(ctx)
	if err != nil {
		return nil, err
	}
	if err := s.store.ConfirmSecondSecret(ctx, s.stamp(actor), x, step, hashes); err != nil {
		return nil, fmt.Errorf("confirm a second factor: %w", err)
	}
	if err := s.store.EndSessionsOf(ctx, person.ID, keep, true); err != nil {
		return nil, err
	}
	return recovery, s.endTry(ctx, about)
}

// CheckCode checks a code of somebody's authenticator, or one of their recovery
// codes; each counts once. A wrong or used one is a [*models.InvalidError] on
// "code" that says how many tries are left, after five from an address a [*WaitError];
// address is "" in a session that is in already.
func (s *Service) CheckCode(ctx context.Context, person models.Person, typed, address string) error {
	typed = bareCode(typed)
	if typed == "" {
		return models.Invalid("code", "required")
	}
	x, err := s.confirmedSecond(ctx, person.ID)
	if err != nil {
		return err
	}
	about := codeTries(person.ID, address)
	left, err := s.beginTry(ctx, about)
	if err != nil {
		return err
	}
	var right bool
	if len(typed) == recoveryLength {
		right, err = s.useRecoveryCode(ctx, person, typed)
	} else {
		right, err = s.useCode(ctx, x, typed)
	}
	switch {
	case errors.Is(err, models.ErrConflict):
		return models.Invalid("code", "code_used", "left", strconv.Itoa(left))
	case err != nil:
		return err
	case !right:
		return models.Invalid("code", "code_wrong", "left", strconv.Itoa(left))
	}
	return s.endTry(ctx, about)
}

func (s *Service) useCode(ctx context.Context, x models.SecondSecret, typed string) (bool, error) {
	step, right, err := s.stepOf(x.Secret, typed)
	if err != nil || !right {
		return false, err
	}
	return true, s.store.UseStep(ctx, x.PersonID, step)
}

// bareCode takes out what a person puts between the signs of a code, sign by sign:
// half a sign stays one, also where what parted it from its other half is gone.
func bareCode(typed string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, typed)
}

// ownAtOffice is the actor as a person, in a password session: a second factor is
// nobody else's to set up, and nothing for a tablet.
func (s *Service) ownAtOffice(ctx context.Context, actor models.Actor) (models.Person, error) {
	if actor.DeviceID != "" || !actor.May(models.ActOwnSecrets) {
		return models.Person{}, fmt.Errorf("second factor: %w", models.ErrForbidden)
	}
	return s.Person(ctx, actor.PersonID)
}

// DropSecond takes the actor's own second factor away; a code of it is asked for
// (OWASP ASVS 5.0, 7.5.1). Where the shop demands one, setUp says that the session has
// to set up another before anything else, which mustSetUp keeps before it is taken away:
// whatever fails afterwards, nobody goes on without. Their other sessions end; keep is
// the hash of the one they are in.
func (s *Service) DropSecond(ctx context.Context, actor models.Actor, code, keep string, mustSetUp func() error) (setUp bool, err error) {
	person, err := s.ownAtOffice(ctx, actor)
	if err != nil {
		return false, err
	}
	if setUp, err = s.demandsSecond(ctx, person); err != nil {
		return false, err
	}
	if err := s.CheckCode(ctx, person, code, ""); err != nil {
		return false, err
	}
	if setUp {
		if err := mustSetUp(); err != nil {
			return false, err
		}
	}
	if err := s.store.DropSecondSecret(ctx, s.stamp(actor), person.ID, "second_secret_dropped"); err != nil || !setUp {
		return false, err
	}
	return true, s.store.EndSessionsOf(ctx, person.ID, keep, true)
}

// ResetSecond takes another's second factor away, who lost it, and ends their
// sessions. An owner does so in the office, or the program itself at the server's
// console. Nobody does it for themselves: whoever found an open session would.
func (s *Service) ResetSecond(ctx context.Context, actor models.Actor, personID string) error {
	if actor != (models.Actor{}) && (!actor.May(models.ActManagePeople) || actor.PersonID == personID) {
		return fmt.Errorf("reset the second factor of %s: %w", personID, models.ErrForbidden)
	}
	if err := s.store.DropSecondSecret(ctx, s.stamp(actor), personID, "second_secret_reset"); err != nil {
		return fmt.Errorf("reset a second factor: %w", err)
	}
	if err := s.forgetCodes(ctx, personID); err != nil {
		return err
	}
	return s.store.EndSessionsOf(ctx, personID, "", true)
}
