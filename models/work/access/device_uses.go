package access

import (
	"context"
	"crypto/subtle"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"sync"
	"time"

	"tracewright/models"
)

// A device's key can be copied, out of a browser or off a program's settings. What
// can be noticed of that:
//
//   - A browser keeps a turn beside the key. Each tap on a name gives it the next
//     and makes the one before the last worthless, so of two browsers with one key
//     the second to tap shows a turn that is long over.
//   - The key of a browser, used by a program.
//   - A key used from two machines by turns within a short time.
//
// It is told and not punished: a tablet that came out of a backup looks the same,
// and whoever trues a wheel must not stand before a locked door. The owner revokes.
const (
	// turnGrace is how long the turn before the last still passes beside it without
	// a new one being given: two taps on a slow line are no theft.
	turnGrace = 10 * time.Second
	// byTurnsWithin is how close uses from two machines lie that are at once.
	byTurnsWithin = 10 * time.Minute
	seenAgain     = time.Minute // how finely uses are written down
	// noTurn stands for the turn of a browser that has none yet.
	noTurn = "none"
)

// SplitKey parts what a browser keeps of its device: key and turn.
func SplitKey(cookie string) (key, turn string) {
	key, turn, _ = strings.Cut(cookie, ".")
	return key, turn
}

// Turn gives the browser of a device its next turn, beside the key; shown is the
// one it came with. "" leaves what it has. A turn that is long over is a doubt.
func (s *Service) Turn(ctx context.Context, device models.Device, shown, agent, address string) (turn string, err error) {
	next, hash, err := newToken()
	if err != nil {
		return "", err
	}
	shownHash, stale := noTurn, false
	if shown != "" {
		shownHash = tokenHash(shown)
	}
	err = s.store.TurnDevice(ctx, device.ID, func(use *models.DeviceUse) bool {
		turn, stale = next, false
		now := s.now()
		switch {
		case use.TurnHash == "": // Enrolled just now, or before there were turns.
		case same(use.TurnHash, shownHash):
		case same(use.BeforeHash, shownHash):
			if now.Sub(use.TurnedAt).Abs() < turnGrace {
				turn = ""
				return false
			}
		default:
			stale = true
		}
		use.BeforeHash, use.TurnHash, use.TurnedAt = shownHash, hash, now
		return true
	})
	if err != nil {
		return "", fmt.Errorf("turn of device %s: %w", device.ID, err)
	}
	if stale {
		err = s.doubt(ctx, device, models.DoubtTurn, agent, address)
	}
	return turn, err
}

func same(kept, shown string) bool {
	return kept != "" && subtle.ConstantTimeCompare([]byte(kept), []byte(shown)) == 1
}

// Saw writes down where a device's key was used, at most each minute, and doubts
// it where it seems to be in two places.
func (s *Service) Saw(ctx context.Context, device models.Device, program bool, agent, address string) error {
	agent = ShortAgent(agent)
	now := s.now()
	if !s.sightings.due(device.ID+"\n"+agent+"\n"+address, now) {
		return nil
	}
	seen := models.DeviceSighting{DeviceID: device.ID, Agent: agent, Address: address, SeenAt: now}
	before, err := s.store.SeeDevice(ctx, seen, now.Add(-byTurnsWithin))
	if err != nil {
		return fmt.Errorf("see device %s: %w", device.ID, err)
	}
	if program {
		switch _, err := s.store.DeviceUse(ctx, device.ID); {
		case err == nil:
			return s.doubt(ctx, device, models.DoubtProgram, agent, address)
		case !errors.Is(err, models.ErrNotFound):
			return err
		}
	}
	if byTurns(seen, before) {
		return s.doubt(ctx, device, models.DoubtTwo, agent, address)
	}
	return nil
}

// byTurns says whether a key went from this machine to another and back. before
// are its last uses, the last first.
func byTurns(seen models.DeviceSighting, before []models.DeviceSighting) bool {
	away := false
	for _, b := range before {
		if sameMachine(seen, b) {
			return away // It was here, then elsewhere, and is here again.
		}
		away = true
	}
	return false
}

// sameMachine says whether two uses may be of one machine: it may have an address
// of each kind, and its browser may be brought up to date.
func sameMachine(a, b models.DeviceSighting) bool {
	nameA, systemA := Browser(a.Agent)
	nameB, systemB := Browser(b.Agent)
	if nameA != nameB || systemA != systemB {
		return false
	}
	x, errX := netip.ParseAddr(a.Address)
	y, errY := netip.ParseAddr(b.Address)
	if errX != nil || errY != nil || x.Unmap().Is4() != y.Unmap().Is4() {
		return true
	}
	return x.Unmap() == y.Unmap()
}

func (s *Service) doubt(ctx context.Context, device models.Device, kind, agent, address string) error {
	return s.store.AddDoubt(ctx, models.DeviceDoubt{DeviceID: device.ID, Kind: kind, Agent: ShortAgent(agent), Address: address, SeenAt: s.now()})
}

// Doubt is a doubt about a device's key, with its device.
type Doubt struct {
	models.DeviceDoubt
	Device models.Device
}

// Doubts lists the keys that seem to be in two places, of devices that are not
// revoked, the oldest first.
func (s *Service) Doubts(ctx context.Context) ([]Doubt, error) {
	const most = 50
	open, err := s.store.OpenDoubts(ctx, most)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	devices, err := s.store.Devices(ctx)
	if err != nil {
		return nil, fmt.Errorf("list devices: %w", err)
	}
	byID := make(map[string]models.Device, len(devices))
	for _, d := range devices {
		byID[d.ID] = d
	}
	out := make([]Doubt, len(open))
	for i, d := range open {
		out[i] = Doubt{d, byID[d.DeviceID]}
	}
	return out, nil
}

// SettleDoubts ends those about a device: somebody knows that both were theirs.
func (s *Service) SettleDoubts(ctx context.Context, actor models.Actor, deviceID string) error {
	if !actor.May(models.ActManagePeople) {
		return fmt.Errorf("settle doubts about %s: %w", deviceID, models.ErrForbidden)
	}
	return s.store.SettleDoubts(ctx, s.stamp(actor), deviceID)
}

// LastSeen is where each device was last used, by its key.
func (s *Service) LastSeen(ctx context.Context) (map[string]models.DeviceSighting, error) {
	return s.store.LastSightings(ctx)
}

// sightings remembers what was written down within the last minute.
type sightings struct {
	mu   sync.Mutex
	seen map[string]time.Time
}

// due says whether a use is to be written down again.
func (x *sightings) due(key string, now time.Time) bool {
	x.mu.Lock()
	defer x.mu.Unlock()
	if last, ok := x.seen[key]; ok && now.Sub(last).Abs() < seenAgain {
		return false
	}
	if x.seen == nil || len(x.seen) >= maxKeys {
		x.seen = map[string]time.Time{}
	}
	x.seen[key] = now
	return true
}
