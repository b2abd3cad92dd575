package httpx

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
)

// Sessions keeps who is signed in at which browser. The browser holds a random
// token in a cookie; everything else lies in the store, so that a session can
// be ended from here. Every change is stored before the answer is sent.
type Sessions struct {
	access  *access.Service
	now     func() time.Time
	manager *scs.SessionManager
	secure  bool
	lock    idleTime
	log     *slog.Logger
	demo    string // id of the person everybody is, in the demo alone

	strangers *Strangers // counts wrong keys; nil: nobody does
	streams   listeners
}

// SessionOptions are the settings of a shop.
type SessionOptions struct {
	Secure bool          // cookies only over TLS
	Idle   time.Duration // without a request: a stand forgets its person, an office session ends; 0: as the shop's settings say
	Log    *slog.Logger  // of who comes and who is turned away
	// LookEvery is how often those who listen to a stream are asked for again; 0:
	// every two seconds.
	LookEvery time.Duration
}

const (
	lifetime       = 12 * time.Hour // of a session, however busy
	confirmedFor   = 5 * time.Minute
	codeWithin     = 10 * time.Minute // from the password to the code
	seenEvery      = time.Minute      // how finely idleness is counted: a write a minute, not a request
	deviceLifetime = 400 * 24 * time.Hour
	lookEvery      = 2 * time.Second

	keyPerson    = "person"
	keyDevice    = "device" // the device a person was chosen at; empty: password
	keyMark      = "mark"   // of the password the session began with
	keySeen      = "seen"
	keyBegan     = "began"
	keyConfirmed = "confirmed"
	keyAsked     = "asked"  // who gave the password and still has to give a code
	keySetUp     = "set_up" // a second factor has to be set up before anything else
)

// NewSessions makes the sessions of a server over the store's own, which keeps
// tokens as hashes.
func NewSessions(store scs.Store, people *access.Service, now func() time.Time, o SessionOptions) *Sessions {
	m := scs.New()
	m.Store = store
	m.Lifetime = lifetime
	m.Cookie.Secure = o.Secure
	m.Cookie.Name = cookieName("tracewright", o.Secure)
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.LookEvery == 0 {
		o.LookEvery = lookEvery
	}
	s := &Sessions{access: people, now: now, manager: m, secure: o.Secure, log: o.Log}
	s.lock = idleTime{always: o.Idle, ask: people.LockAfter, now: now}
	s.streams = listeners{every: o.LookEvery, still: s.stillIn}
	return s
}

// Secure says whether browsers reach this server over TLS, its own or a proxy's.
func (s *Sessions) Secure() bool { return s.secure }

// cookieName carries the prefix by which browsers promise that the cookie was
// set by this host over TLS (RFC 6265bis, 4.1.3.2).
func cookieName(name string, secure bool) string {
	if secure {
		return "__Host-" + name
	}
	return name
}

// SignIn opens a password session in place of whatever session there was: the
// token is new, so that one planted before cannot be used after. Somebody with a
// second factor is asked for a code of it before the session begins.
func (s *Sessions) SignIn(c *gin.Context, login, password string) (asksCode bool, err error) {
	person, err := s.access.SignIn(c.Request.Context(), login, password, c.ClientIP())
	if err != nil {
		// The login is not written down: a password lands in the wrong field.
		s.log.Warn("sign-in refused", "request", RequestID(c), "address", c.ClientIP(), "cause", err)
		return false, err
	}
	return s.Enter(c, person)
}

// Enter opens a password session for somebody whose password is right, or was set
// just now by a one-time link: a link takes nobody past their second factor.
func (s *Sessions) Enter(c *gin.Context, person models.Person) (asksCode bool, err error) {
	code, setUp, err := s.access.AfterPassword(c.Request.Context(), person)
	if err != nil {
		return false, err
	}
	if code {
		return true, s.askCode(c, person)
	}
	s.log.Info("signed in", "request", RequestID(c), "address", c.ClientIP(), "person", person.ID)
	return false, s.begin(c, beginning{person: person, typed: true, setUp: setUp})
}

// Welcome opens another session for somebody who is in one and has just set
// another password of their own.
func (s *Sessions) Welcome(c *gin.Context, person models.Person) error {
	return s.begin(c, beginning{person: person, typed: true})
}

// Choose makes somebody the person at this enrolled device, by one tap.
func (s *Sessions) Choose(c *gin.Context, personID string) (models.Person, error) {
	device, ok := Device(c)
	if !ok || device.Program {
		return models.Person{}, fmt.Errorf("choose a person: no enrolled tablet: %w", models.ErrForbidden)
	}
	person, err := s.access.PersonAtDevice(c.Request.Context(), personID)
	if err != nil {
		return models.Person{}, err
	}
	if err := s.nextTurn(c, device); err != nil {
		return models.Person{}, err
	}
	return person, s.begin(c, beginning{person: person, deviceID: device.ID})
}

// beginning is how a session begins.
type beginning struct {
	person   models.Person
	deviceID string
	typed    bool // the password was typed just now, which confirms the next five minutes too
	setUp    bool // a second factor has to be set up before anything else
}

func (s *Sessions) begin(c *gin.Context, b beginning) error {
	if err := s.afresh(c); err != nil {
		return err
	}
	ctx, now := c.Request.Context(), s.now().Unix()
	s.manager.Put(ctx, keyPerson, b.person.ID)
	s.manager.Put(ctx, keyDevice, b.deviceID)
	s.manager.Put(ctx, keyMark, access.SecretMark(b.person))
	s.manager.Put(ctx, keySeen, now)
	s.manager.Put(ctx, keyBegan, now)
	if b.typed {
		s.manager.Put(ctx, keyConfirmed, now)
	}
	if b.setUp {
		s.manager.Put(ctx, keySetUp, true)
	}
	return s.save(c, true)
}

// afresh ends whatever session there was: the next has another token.
func (s *Sessions) afresh(c *gin.Context) error {
	ctx := c.Request.Context()
	if err := s.manager.Clear(ctx); err != nil {
		return fmt.Errorf("clear the session before: %w", err)
	}
	if err := s.manager.RenewToken(ctx); err != nil {
		return fmt.Errorf("renew the session's token: %w", err)
	}
	return nil
}

// SignOut ends the session. An enrolled device stays enrolled.
func (s *Sessions) SignOut(c *gin.Context) error {
	if err := s.manager.Destroy(c.Request.Context()); err != nil {
		return fmt.Errorf("end the session: %w", err)
	}
	s.manager.WriteSessionCookie(c.Request.Context(), c.Writer, "", time.Time{})
	return nil
}

// Key is what the request's own session is listed by; empty for none.
func (s *Sessions) Key(c *gin.Context) string {
	if token := s.manager.Token(c.Request.Context()); token != "" {
		return access.SessionKey(token)
	}
	return ""
}

// Idle is how long a session waits for a request.
func (s *Sessions) Idle(ctx context.Context) time.Duration { return s.lock.get(ctx) }

// Confirm checks the secret that a release, a void or a disposition asks for.
// At an enrolled device the PIN is asked each time; in a password session the
// password is good for five minutes.
func (s *Sessions) Confirm(c *gin.Context, secret access.Secret) error {
	if Actor(c).DeviceID == "" && !s.NeedsSecret(c) {
		return nil
	}
	return s.ConfirmAnew(c, secret)
}

// ConfirmAnew is Confirm that asks however lately the password was typed.
func (s *Sessions) ConfirmAnew(c *gin.Context, secret access.Secret) error {
	actor := Actor(c)
	if err := s.access.Confirm(c.Request.Context(), actor, secret); err != nil {
		s.log.Warn("not confirmed", "request", RequestID(c), "address", c.ClientIP(), "person", actor.PersonID, "device", actor.DeviceID, "cause", err)
		return err
	}
	if actor.DeviceID != "" {
		return nil
	}
	// A session that was ended meanwhile is not begun again by a new token.
	if err := s.save(c, false); err != nil {
		return err
	}
	// Whoever had the token until now does not get what it is good for from here on.
	if err := s.manager.RenewToken(c.Request.Context()); err != nil {
		return fmt.Errorf("renew the session's token: %w", err)
	}
	s.manager.Put(c.Request.Context(), keyConfirmed, s.now().Unix())
	return s.save(c, true)
}

// NeedsSecret says whether Confirm would ask, so that a form shows the field
// only then.
func (s *Sessions) NeedsSecret(c *gin.Context) bool {
	if Actor(c).DeviceID != "" {
		return true
	}
	at := s.manager.GetInt64(c.Request.Context(), keyConfirmed)
	age := s.now().Sub(time.Unix(at, 0))
	return at == 0 || age < 0 || age >= confirmedFor
}

// load reads the session of the request's cookie, if any, into its context.
func (s *Sessions) load(c *gin.Context) error {
	token := ""
	if cookie, err := c.Request.Cookie(s.manager.Cookie.Name); err == nil {
		token = cookie.Value
	}
	return s.loadToken(c, token)
}

func (s *Sessions) loadToken(c *gin.Context, token string) error {
	ctx, err := s.manager.Load(c.Request.Context(), token)
	if err != nil {
		return fmt.Errorf("load the session: %w", err)
	}
	c.Request = c.Request.WithContext(ctx)
	return nil
}

// save keeps the session with what is listed of it. One that was ended while the
// request ran stays ended: [models.ErrUnauthenticated].
func (s *Sessions) save(c *gin.Context, fresh bool) error {
	ctx := c.Request.Context()
	facts := models.SessionFacts{Fresh: fresh, Session: models.Session{Agent: access.ShortAgent(c.Request.UserAgent()), Address: c.ClientIP(),
		BeganAt: time.Unix(s.manager.GetInt64(ctx, keyBegan), 0), SeenAt: time.Unix(s.manager.GetInt64(ctx, keySeen), 0)}}
	if id := s.manager.GetString(ctx, keyPerson); id != "" {
		facts.PersonID = &id
	}
	if id := s.manager.GetString(ctx, keyDevice); id != "" {
		facts.DeviceID = &id
	}
	token, expiry, err := s.manager.Commit(models.WithSessionFacts(ctx, facts))
	if err != nil {
		return fmt.Errorf("keep the session: %w", err)
	}
	s.manager.WriteSessionCookie(ctx, c.Writer, token, expiry)
	return nil
}

// current is the person of the loaded session, with where they are. Somebody
// who left, a password changed since, a long idle time, twelve hours, a device
// revoked or another one than the session's, and a role that has no work at a device
// end it.
func (s *Sessions) current(c *gin.Context, device *models.Device) (models.Actor, error) {
	ctx := c.Request.Context()
	id := s.manager.GetString(ctx, keyPerson)
	if id == "" {
		return models.Actor{}, nil
	}
	person, err := s.access.Person(ctx, id)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return models.Actor{}, fmt.Errorf("find the session's person: %w", err)
	}
	at := s.manager.GetString(ctx, keyDevice)
	now := s.now()
	seen, began := time.Unix(s.manager.GetInt64(ctx, keySeen), 0), time.Unix(s.manager.GetInt64(ctx, keyBegan), 0)
	switch {
	case err != nil,
		s.manager.GetString(ctx, keyMark) != access.SecretMark(person) && at == "",
		now.Sub(seen) >= s.Idle(ctx),
		now.Sub(began) >= lifetime,
		at != "" && (device == nil || device.ID != at || !access.AtDevice(person)):
		if err := s.SignOut(c); !models.OnlyReadable(err) {
			return models.Actor{}, err
		}
		return models.Actor{}, nil // It is over, also where that cannot be written.
	}
	// A clock that was put back would let a session stand idle until it has caught up.
	if now.Sub(seen).Abs() >= seenEvery && !isStream(c.Request) {
		s.manager.Put(ctx, keySeen, now.Unix())
		if began.After(now) { // Nor would twelve hours end it before.
			s.manager.Put(ctx, keyBegan, now.Unix())
		}
		err := s.save(c, false)
		if errors.Is(err, models.ErrUnauthenticated) { // Ended this moment.
			return models.Actor{}, s.SignOut(c)
		}
		// Who only reads may go on while nothing can be written.
		if err != nil && !models.OnlyReadable(err) {
			return models.Actor{}, err
		}
	}
	actor := models.Actor{PersonID: person.ID, Name: person.Name, Role: person.Role}
	if at != "" {
		actor.DeviceID, actor.Place = device.ID, device.Place
	}
	return actor, nil
}
