package verify

import "tracewright/models"

// Store is the database at one moment: what is read twice is the same.
type Store interface {
	// Head tells where the chain ends; models.ErrNotFound before it has begun.
	Head() (models.TrailHead, error)
	// Sealed lists the chain from a number on, in its order.
	Sealed(from int64, limit int) ([]models.TrailEntry, error)
	// Unsealed lists entries that are not in the chain, by id, behind one.
	Unsealed(after string, limit int) ([]models.TrailEntry, error)
	// Entries lists all entries that speak of these subjects, each subject's
	// from the oldest to the newest.
	Entries(subjects []string) ([]models.TrailEntry, error)
	// Checkpoints lists them by size and key, behind one.
	Checkpoints(after models.Checkpoint, limit int) ([]models.Checkpoint, error)

	// Kinds lists the kinds of records that leave entries.
	Kinds() []models.RecordKind
	// Records finds the records of a kind by what entries call them.
	Records(kind string, subjects []string) ([]models.StoredRecord, error)
	// Unentered lists records of a kind that no entry speaks of.
	Unentered(kind string, limit int) ([]string, error)
	// BrokenFiles lists kept files whose bytes are not those they are named by,
	// and counts the kept files.
	BrokenFiles(limit int) (broken []string, count int64, err error)
	// FileUses lists what keeps these files, LostFiles what keeps one that is gone.
	FileUses(hashes []string) ([]models.FileUse, error)
	LostFiles(limit int) ([]models.FileUse, error)
	// Papers lists kept drawings of certificates, behind one.
	Papers(after models.KeptPaper, limit int) ([]models.KeptPaper, error)
	// FileBytes reads a kept file; models.ErrNotFound for one that is gone.
	FileBytes(hash string) ([]byte, error)
}
