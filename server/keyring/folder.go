package keyring

import (
	"crypto/ed25519"
	"crypto/rand"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"tracewright/models/trail"
	"tracewright/server/files"
)

var (
	// ErrReadable says that others than the owner can read a private key.
	ErrReadable = errors.New("others can read this private key: chmod 600, and if anybody may have read it, make another with tracewright keys rotate and retire it")
	// ErrNoKey says that a file holds no such key.
	ErrNoKey = errors.New("holds no Ed25519 key")
)

const (
	privateEnd = ".key"
	publicEnd  = ".pub"
	logFile    = "log"
)

// ModesTell says whether the mode of a file tells who can read it: on Windows its bits
// do not, and whether others can read a key is not looked at.
const ModesTell = runtime.GOOS != "windows"

// Folder keeps private keys.
type Folder struct{ path string }

// Open makes the folder where it is missing, for its owner alone.
func Open(path string) (*Folder, error) {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return nil, fmt.Errorf("make a folder for keys: %w", err)
	}
	return &Folder{path}, nil
}

// Place is the folder's path.
func (f *Folder) Place() string { return f.path }

// All reads every private key, in the order of their ids.
func (f *Folder) All() ([]ed25519.PrivateKey, error) {
	found, err := filepath.Glob(filepath.Join(globbed(f.path), "*"+privateEnd))
	if err != nil {
		return nil, fmt.Errorf("look for keys in %s: %w", f.path, err)
	}
	keys := make([]ed25519.PrivateKey, len(found))
	for i, file := range found {
		if keys[i], err = readPrivate(file); err != nil {
			return nil, err
		}
	}
	return keys, nil
}

// globbed is a path that a pattern takes as it stands.
func globbed(path string) string {
	return strings.NewReplacer("[", "[[]", "*", "[*]", "?", "[?]").Replace(path)
}

func readPrivate(file string) (ed25519.PrivateKey, error) {
	info, err := os.Stat(file)
	if err != nil {
		return nil, fmt.Errorf("read a key: %w", err)
	}
	if ModesTell && info.Mode().Perm()&0o077 != 0 {
		return nil, fmt.Errorf("%s has mode %04o: %w", file, info.Mode().Perm(), ErrReadable)
	}
	raw, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read a key: %w", err)
	}
	block, _ := pem.Decode(raw)
	if block == nil {
		return nil, fmt.Errorf("%s: %w", file, ErrNoKey)
	}
	parsed, err := x509.ParsePKCS8PrivateKey(block.Bytes)
	if err != nil {
		return nil, fmt.Errorf("%s: %w: %w", file, ErrNoKey, err)
	}
	key, ok := parsed.(ed25519.PrivateKey)
	if !ok {
		return nil, fmt.Errorf("%s: %w", file, ErrNoKey)
	}
	return key, nil
}

// Make makes one more key, and keeps both halves under its id.
func (f *Folder) Make() (ed25519.PrivateKey, error) {
	public, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		return nil, fmt.Errorf("make a key: %w", err)
	}
	encoded, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, fmt.Errorf("encode a key: %w", err)
	}
	base := filepath.Join(f.path, trail.KeyID(public))
	if err := write(base+publicEnd, 0o644, []byte(hex.EncodeToString(public)+"\n")); err != nil {
		return nil, err
	}
	return key, write(base+privateEnd, 0o600, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: encoded}))
}

// Log is the id of the log that the keys are for; empty before that is written.
func (f *Folder) Log() (string, error) {
	raw, err := os.ReadFile(filepath.Join(f.path, logFile))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("read which log the keys are for: %w", err)
	}
	return strings.TrimSpace(string(raw)), nil
}

// For writes down which log the keys are for.
func (f *Folder) For(log string) error {
	return write(filepath.Join(f.path, logFile), 0o644, []byte(log+"\n"))
}

// ReadPublic reads a file with the public half of a key.
func ReadPublic(file string) (ed25519.PublicKey, error) {
	raw, err := os.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("read a public key: %w", err)
	}
	public, err := trail.ParsePublicKey(strings.TrimSpace(string(raw)))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return public, nil
}

// write keeps a file that is whole or not there.
func write(file string, mode fs.FileMode, raw []byte) error {
	if err := files.Write(file, mode, raw); err != nil {
		return fmt.Errorf("keep %s: %w", file, err)
	}
	return nil
}
