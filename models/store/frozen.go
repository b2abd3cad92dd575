package store

import (
	"context"
	"database/sql"
	"slices"

	"github.com/libtnb/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trail"
)

// Frozen is the database as it was at one moment, while others go on writing.
type Frozen struct {
	tx *gorm.DB
}

// Freeze runs f on the database as it is when f first reads.
func (s *Store) Freeze(ctx context.Context, f func(*Frozen) error) error {
	var options []*sql.TxOptions
	if s.dialect == Postgres { // A SQLite reader sees one moment as it is.
		options = append(options, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	}
	read, err := s.longLook()
	if err != nil {
		return err
	}
	return read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { return f(&Frozen{tx}) }, options...)
}

// longLook is the database for one long transaction: gorm's prepared statements are
// let go of at its end alone, and lists of keys make a text of its own for each length.
// The connection of a SQLite file keeps the newest by itself.
func (s *Store) longLook() (*gorm.DB, error) {
	if s.dialect == Postgres {
		return s.read, nil
	}
	db, err := gorm.Open(sqlite.New(sqlite.Config{Conn: s.reader}), gormConfig(false))
	if err != nil {
		return nil, fault(err, "open the database for one long look")
	}
	return db, nil
}

// Head tells where the chain ends; models.ErrNotFound before it has begun.
func (f *Frozen) Head() (models.TrailHead, error) {
	var head models.TrailHead
	err := firstRow(f.tx.Raw("SELECT log, size, hash FROM trail_heads WHERE one = 1"), &head.Log, &head.Size, &head.Hash)
	return head, fault(err, "find the head of the trail")
}

// Sealed lists the chain from a number on, in its order, at most limit.
func (f *Frozen) Sealed(from int64, limit int) ([]models.TrailEntry, error) {
	var entries []models.TrailEntry
	err := f.tx.Where("seq >= ?", from).Order("seq").Limit(limit).Find(&entries).Error
	return entries, fault(err, "read the sealed trail")
}

// Unsealed lists entries that are not in the chain, in the order of their ids
// behind one.
func (f *Frozen) Unsealed(after string, limit int) ([]models.TrailEntry, error) {
	var entries []models.TrailEntry
	err := f.tx.Where("seq IS NULL AND id > ?", orNoKey(after)).Order("id").Limit(limit).Find(&entries).Error
	return entries, fault(err, "read what is not sealed")
}

// Entries lists all entries that speak of these subjects, each subject's from
// the oldest to the newest: as sealed, and behind that as changed.
func (f *Frozen) Entries(subjects []string) ([]models.TrailEntry, error) {
	var entries []models.TrailEntry
	err := f.tx.Where("subject IN ?", subjects).Order("seq IS NULL, seq, at, id").Find(&entries).Error
	return entries, fault(err, "read entries of records")
}

// Checkpoints lists them by what they cover, behind one, at most limit.
func (f *Frozen) Checkpoints(after models.Checkpoint, limit int) ([]models.Checkpoint, error) {
	var list []models.Checkpoint
	err := f.tx.Where("size > ? OR size = ? AND key_id > ?", after.Size, after.Size, after.KeyID).Order("size, key_id").Limit(limit).Find(&list).Error
	return list, fault(err, "read checkpoints")
}

// Kinds lists the kinds of records that leave entries.
func (*Frozen) Kinds() []models.RecordKind {
	kinds := make([]models.RecordKind, len(recordKinds))
	for i, k := range recordKinds {
		kinds[i] = k.RecordKind
	}
	return kinds
}

// Records finds the records of a kind that entries call by these subjects.
// models.ErrNotFound says that there is no such kind.
func (f *Frozen) Records(kind string, subjects []string) ([]models.StoredRecord, error) {
	k, err := recordKindOf(kind)
	if err != nil {
		return nil, err
	}
	if !k.texts { // PostgreSQL refuses to compare an id with what is none.
		subjects = slices.DeleteFunc(slices.Clone(subjects), func(subject string) bool { return !models.IsID(subject) && !models.IsRandomID(subject) })
	}
	if len(subjects) == 0 {
		return nil, nil
	}
	records, err := k.records(f.tx, subjects)
	return records, fault(err, "read records of kind %s", kind)
}

// Unentered lists records of a kind that no entry speaks of, by what entries
// would call them, at most limit.
func (f *Frozen) Unentered(kind string, limit int) ([]string, error) {
	k, err := recordKindOf(kind)
	if err != nil {
		return nil, err
	}
	subjects, err := k.unentered(f.tx, limit)
	return subjects, fault(err, "look for records of kind %s without an entry", kind)
}

func recordKindOf(name string) (recordKind, error) {
	at := slices.IndexFunc(recordKinds, func(k recordKind) bool { return k.Name == name })
	if at < 0 {
		return recordKind{}, fault(models.ErrNotFound, "find the kind of record %.40q", name)
	}
	return recordKinds[at], nil
}

// BrokenFiles lists kept files whose bytes are not those they are named by, and
// counts all. One file at a time is held.
func (f *Frozen) BrokenFiles(limit int) (broken []string, count int64, err error) {
	for after := ""; ; count++ {
		var file models.File
		err := f.tx.Where("? > ?", clause.Column{Name: "hash"}, after).Order("hash").Limit(1).Find(&file).Error
		if err != nil {
			return nil, 0, fault(err, "read kept files")
		}
		if file.Hash == "" {
			return broken, count, nil
		}
		if trail.Digest(file.Bytes) != file.Hash && len(broken) < limit {
			broken = append(broken, file.Hash)
		}
		after = file.Hash
	}
}

// fileUses are all that keeps a file: papers of certificates and of reviews, and what
// hangs on records.
const fileUses = `SELECT * FROM (SELECT 'certificate' AS kind, CAST(certificate_id AS text) AS subject, '' AS name, file_hash FROM certificate_papers
UNION ALL SELECT 'review', CAST(id AS text), '', file_hash FROM reviews
UNION ALL SELECT subject_kind, CAST(subject_id AS text), name, file_hash FROM attachments) AS used WHERE `

// FileUses lists what keeps these files.
func (f *Frozen) FileUses(hashes []string) ([]models.FileUse, error) {
	if len(hashes) == 0 {
		return nil, nil
	}
	var uses []models.FileUse
	err := f.tx.Raw(fileUses+"file_hash IN ? ORDER BY file_hash, kind, subject", hashes).Scan(&uses).Error
	return uses, fault(err, "find what keeps a file")
}

// LostFiles lists what keeps a file that is not there: a database client that is
// told to mind no references lets it go.
func (f *Frozen) LostFiles(limit int) ([]models.FileUse, error) {
	var uses []models.FileUse
	err := f.tx.Raw(fileUses+"NOT EXISTS (SELECT 1 FROM files WHERE files.hash = file_hash) ORDER BY file_hash, kind, subject LIMIT ?", limit).Scan(&uses).Error
	return uses, fault(err, "look for files that are gone")
}

// Papers lists kept drawings of certificates by certificate and state, behind
// one, each with the hash of the content that the certificate has.
func (f *Frozen) Papers(after models.KeptPaper, limit int) ([]models.KeptPaper, error) {
	var papers []models.KeptPaper
	err := f.tx.Raw(`SELECT p.certificate_id, p.state, p.file_hash, c.content_hash FROM certificate_papers AS p JOIN certificates AS c ON c.id = p.certificate_id
WHERE p.certificate_id > ? OR p.certificate_id = ? AND p.state > ? ORDER BY p.certificate_id, p.state LIMIT ?`,
		orNoKey(after.CertificateID), orNoKey(after.CertificateID), after.State, limit).Scan(&papers).Error
	return papers, fault(err, "list papers of certificates")
}

// FileBytes reads a kept file.
func (f *Frozen) FileBytes(hash string) ([]byte, error) {
	var file models.File
	err := f.tx.Where("? = ?", clause.Column{Name: "hash"}, hash).Take(&file).Error
	return file.Bytes, fault(err, "read file %.64q", hash)
}
