package shipping_test

import (
	"testing"
	"time"

	"tracewright/models"
)

// What went before its certificate, and got that while it counted as gone, is released
// when it is said that it never went; what is rebuilt since is not.
func TestCertifiedUnderAVoidShipment(t *testing.T) {
	each(t, func(t *testing.T, b *bay) {
		wheel := b.Item[models.KindWheel]
		lot := b.spoked(wheel, "SP-1")
		b.MustRecord(b.Extremes())
		void := b.sent(wheel)
		b.Now = b.Now.Add(time.Minute)
		b.certify(wheel)
		void()
		b.stands("void", wheel, models.StateReleased, "")

		b.Must(b.swapped(wheel, "broken", models.FateScrap, lot))
		b.sent(wheel)()
		b.stands("rebuilt after its certificate", wheel, models.StateInProcess, "not_released rebuilt_unread")
	})
}
