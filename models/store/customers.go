package store

import (
	"context"
	"crypto/rand"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// AddCustomer adds a customer. The log knows the key alone.
func (s *Store) AddCustomer(ctx context.Context, stamp models.Stamp, c models.Customer) error {
	c.EnteredAt, c.EnteredBy = settled(c.EnteredAt, stamp), orActor(c.EnteredBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &c), "add a customer")
}

// ChangeCustomer writes a customer anew, as change leaves it, and gives what stands then.
func (s *Store) ChangeCustomer(ctx context.Context, stamp models.Stamp, id string, change func(*models.Customer) error) (models.Customer, error) {
	var c models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.lockedNamed(tx).Where("id = ?", id).Take(&c).Error; err != nil {
			return err
		}
		if err := change(&c); err != nil {
			return err
		}
		done := tx.Model(&models.Customer{}).Where("id = ?", c.ID).Updates(map[string]any{"name": c.Name, "address": c.Address, "email": c.Email, "phone": c.Phone, "note": c.Note})
		if err := changedOne(done, "customer"); err != nil {
			return err
		}
		return enter(tx, stamp, c, "changed")
	})
	return c, fault(err, "change a customer")
}

// EraseCustomer removes a customer for good, with what they said in claims, the photos of
// those and the reasons that they were looked up for. Orders, shipments and claims keep a key that leads nowhere; the
// log names that key alone, and the salted hashes of what is gone.
func (s *Store) EraseCustomer(ctx context.Context, stamp models.Stamp, id string) error {
	return s.erasing(ctx, func(tx *gorm.DB) error { return eraseCustomer(tx, stamp, id) })
}

// erasing runs what erases a customer, and leaves nothing of it in the files.
func (s *Store) erasing(ctx context.Context, erase func(*gorm.DB) error) error {
	err := s.changing(ctx, erase)
	if err == nil {
		err = s.forget(ctx)
	}
	return fault(err, "erase a customer")
}

func eraseCustomer(tx *gorm.DB, stamp models.Stamp, id string) error {
	if err := changedOne(tx.Where("id = ?", id).Delete(&models.Customer{}), "customer"); err != nil {
		return err
	}
	if err := eraseReasons(tx, stamp, id); err != nil {
		return err
	}
	var claims []models.Claim
	if err := tx.Where("customer = ?", id).Order("id").Find(&claims).Error; err != nil {
		return err
	}
	for _, c := range claims {
		if err := eraseOfClaim(tx, stamp, c); err != nil {
			return err
		}
	}
	return enter(tx, stamp, models.Customer{ID: id}, models.NoteErased)
}

// eraseReasons removes why a customer was looked up. Who looked, and when, stays.
func eraseReasons(tx *gorm.DB, stamp models.Stamp, customer string) error {
	var looks []models.CustomerLook
	if err := tx.Where("customer = ? AND reason <> ''", customer).Order("id").Find(&looks).Error; err != nil {
		return err
	}
	for _, look := range looks {
		look.Reason, look.Salt = "", ""
		if err := tx.Model(&models.CustomerLook{}).Where("id = ?", look.ID).Updates(map[string]any{"reason": "", "salt": ""}).Error; err != nil {
			return err
		}
		if err := enter(tx, stamp, look, "reason_erased"); err != nil {
			return err
		}
	}
	return nil
}

// eraseOfClaim removes what stands of a person in a claim: their words and photos.
func eraseOfClaim(tx *gorm.DB, stamp models.Stamp, c models.Claim) error {
	done := tx.Where("claim_id = ?", c.ID).Delete(&models.ClaimWords{})
	if done.Error != nil {
		return done.Error
	}
	if done.RowsAffected > 0 {
		if err := enter(tx, stamp, c, "words_erased"); err != nil {
			return err
		}
	}
	var photos []models.Attachment
	if err := tx.Where("subject_kind = ? AND subject_id = ?", models.SubjectClaim, c.ID).Order("id").Find(&photos).Error; err != nil {
		return err
	}
	for _, photo := range photos {
		if err := eraseAttachment(tx, stamp, photo.ID); err != nil {
			return err
		}
	}
	return nil
}

// kept makes a query of a transaction keep the rows it reads from being erased until the
// end. SQLite has one writer and no such clause.
func (s *Store) kept(tx *gorm.DB) *gorm.DB {
	if s.dialect == Postgres {
		return tx.Clauses(clause.Locking{Strength: "KEY SHARE"})
	}
	return tx
}

// keepCustomer holds the customer whom a record is to name until the record is written,
// so that nobody erases them in between; empty names none. One who is gone is named by
// nothing new: it would hang on a key that leads nowhere, and be erased with nobody.
func (s *Store) keepCustomer(tx *gorm.DB, id string) error {
	if id == "" {
		return nil
	}
	var there []models.Customer
	if err := s.kept(tx).Select("id").Where("id = ?", id).Find(&there).Error; err != nil {
		return err
	}
	if len(there) == 0 {
		return models.Invalid("customer", "unknown_choice", "typed", models.Shortened(id))
	}
	return nil
}

// CustomerThere says whether a key leads to a customer; nothing of them is read.
func (s *Store) CustomerThere(ctx context.Context, id string) (bool, error) {
	var n int64
	err := fault(s.read.WithContext(ctx).Model(&models.Customer{}).Where("id = ?", id).Count(&n).Error, "find a customer")
	if errors.Is(err, models.ErrNotFound) { // It is no key at all.
		err = nil
	}
	return n > 0, err
}

// CustomersThere lists those of the keys that lead to a customer; nothing of them is read.
func (s *Store) CustomersThere(ctx context.Context, ids []string) ([]string, error) {
	var there []string
	if len(ids) == 0 {
		return there, nil
	}
	err := s.read.WithContext(ctx).Model(&models.Customer{}).Where("id IN ?", ids).Pluck("CAST(id AS text)", &there).Error
	return there, fault(err, "find customers")
}

// lookAt is a look at a customer that is to be recorded.
func lookAt(stamp models.Stamp, customer, reason string) models.CustomerLook {
	look := models.CustomerLook{ID: models.NewID(), Customer: customer, PersonID: stamp.By.PersonID, Reason: reason, LookedAt: models.Moment(stamp.At)}
	if reason != "" {
		look.Salt = rand.Text()
	}
	return look
}

// Customer finds one, and records that somebody looked.
func (s *Store) Customer(ctx context.Context, stamp models.Stamp, id, reason string) (models.Customer, error) {
	var c models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.kept(tx).Where("id = ?", id).Take(&c).Error; err != nil {
			return err
		}
		look := lookAt(stamp, id, reason)
		if err := add(tx, &look); err != nil {
			return err
		}
		return enter(tx, stamp, look, "")
	})
	return c, fault(err, "look a customer up")
}

// CustomersNamed lists customers whose name, phone or e-mail holds a text, by
// name, at most limit. Each of them was looked at, which is recorded.
func (s *Store) CustomersNamed(ctx context.Context, stamp models.Stamp, text, reason string, limit int) ([]models.Customer, error) {
	var found []models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		query := s.kept(tx).Order("name, id").Limit(limit)
		like := func(column, text string) {
			query = query.Or(column+` LIKE lower(?) ESCAPE '\'`, "%"+likeSigns.Replace(text)+"%")
		}
		for _, spelled := range spellings(text) {
			like("lower(name)", spelled)
		}
		like("lower(email)", text)
		like("phone", text)
		if number := dialled(text); number != "" {
			like(`replace(replace(replace(replace(replace(replace(phone, ' ', ''), '-', ''), '/', ''), '.', ''), '(', ''), ')', '')`, number)
		}
		if err := query.Find(&found).Error; err != nil {
			return err
		}
		for _, c := range found {
			look := lookAt(stamp, c.ID, reason)
			if err := add(tx, &look); err != nil {
				return err
			}
			if err := enter(tx, stamp, look, ""); err != nil {
				return err
			}
		}
		return nil
	})
	return found, fault(err, "find customers")
}

// spellings are a name in small letters, in capitals, and with a capital for each
// word: SQLite folds the case of plain letters alone, and a tablet types capitals.
func spellings(text string) []string {
	words := strings.Fields(strings.ToLower(text))
	for i, word := range words {
		first, size := utf8.DecodeRuneInString(word)
		words[i] = string(unicode.ToUpper(first)) + word[size:]
	}
	return []string{strings.ToLower(text), strings.ToUpper(text), strings.Join(words, " ")}
}

// dialled are the digits of a telephone number, however they are set apart; of one
// with the code of a country those that it ends in, for here it is dialled with
// another beginning. Empty for what is no such number.
func dialled(text string) string {
	digits, abroad := strings.CutPrefix(setApart.Replace(text), "+")
	if len(digits) < 3 || strings.Trim(digits, "0123456789") != "" {
		return ""
	}
	if abroad || strings.HasPrefix(digits, "00") {
		digits = digits[max(0, len(digits)-digitsAlike):]
	}
	return digits
}

// setApart takes out of a telephone number what stands between its digits.
var setApart = strings.NewReplacer(" ", "", "-", "", "/", "", ".", "", "(", "", ")", "")

// digitsAlike is how many digits at the end of a telephone number are the same
// dialled from here and from abroad.
const digitsAlike = 7

// likeSigns keeps a typed text from being a pattern.
var likeSigns = strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`)

// LooksAt lists who looked a customer up, the newest first.
func (s *Store) LooksAt(ctx context.Context, id string, limit int) ([]models.CustomerLook, error) {
	var looks []models.CustomerLook
	err := s.read.WithContext(ctx).Where("customer = ?", id).Order("looked_at DESC, id DESC").Limit(limit).Find(&looks).Error
	return looks, fault(err, "list who looked a customer up")
}
