package backups

import "errors"

// LeftFree is what a backup that is made or opened leaves of a disk to others.
const LeftFree = 32 << 20

// ErrNoRoom says that what a backup holds does not fit on the disk.
var ErrNoRoom = errors.New("does not fit on the disk")

// Free tells how many bytes may still be written to the disk of a folder, and how many
// that has; errors.ErrUnsupported where nobody can tell. Nil asks for nothing.
type Free func(folder string) (free, all uint64, err error)

// room asks before a part is written, whose size its head states: a small file may hold
// more than any disk.
func (f Free) room(folder string, size int64) error {
	if f == nil {
		return nil
	}
	free, _, err := f(folder)
	if errors.Is(err, errors.ErrUnsupported) {
		return nil
	}
	if err == nil && free < uint64(size)+LeftFree {
		err = ErrNoRoom
	}
	return err
}
