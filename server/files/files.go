// Package files keeps files that a power cut must not take back: keys, certificates
// and backups.
package files

import (
	"io/fs"
	"os"
	"path/filepath"
)

// Write keeps a file that is whole or not there, and has its name reach the disk.
func Write(path string, mode fs.FileMode, raw []byte) error {
	temporary, err := os.CreateTemp(filepath.Dir(path), ".new-*") // made with mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(temporary.Name()) // gone already when all went well
	_, err = temporary.Write(raw)
	if err == nil {
		err = temporary.Chmod(mode)
	}
	if err == nil {
		err = temporary.Sync()
	}
	if closing := temporary.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Rename(temporary.Name(), path)
	}
	if err != nil {
		return err
	}
	return SyncFolder(filepath.Dir(path))
}

// SyncFolder has a folder's names reach the disk, where the system can: what the log
// says of a key may be there before the key's name is.
func SyncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	_ = folder.Sync() // Not every file system can; the file itself is there.
	return folder.Close()
}
