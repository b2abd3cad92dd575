package models

import (
	"slices"
	"strings"
	"time"
)

// Role is what a person does in the shop; Permitted says what each may do.
type Role string

// The four roles.
const (
	Operator  Role = "operator"
	Inspector Role = "inspector"
	Desk      Role = "desk"
	Owner     Role = "owner"
)

// Roles lists the roles in the order they are shown.
var Roles = []Role{Operator, Inspector, Desk, Owner}

// Person is somebody who works in the shop. Login and password are for the
// office; the PIN confirms a release, a void or a disposition at an enrolled
// tablet. Hashes are argon2id in their usual text form, empty when not set.
type Person struct {
	ID           string `gorm:"primaryKey"`
	Name         string
	Login        *string
	Role         Role
	PasswordHash string
	PINHash      string
	Active       bool
	CreatedAt    time.Time
}

// NamesOf gives the names of people by their keys.
func NamesOf(people []Person) map[string]string {
	names := make(map[string]string, len(people))
	for _, p := range people {
		names[p.ID] = p.Name
	}
	return names
}

// Device is an enrolled tablet, or the program that reads a gauge. Its key is kept as
// a hash; revoking it ends every session opened with it.
type Device struct {
	ID         string `gorm:"primaryKey"`
	Name       string
	Place      string // the stand or bench it stands at
	KeyHash    string
	Program    bool // it reads a gauge: nobody is chosen at it
	EnrolledBy string
	EnrolledAt time.Time
	RevokedAt  *time.Time
	RevokedBy  *string
}

// OneTimeLink lets somebody in once: the first owner, or a person whose
// password is to be set anew. Only the hash of its token is kept.
type OneTimeLink struct {
	TokenHash string `gorm:"primaryKey"`
	Purpose   string // first_owner, set_password
	PersonID  *string
	Expires   time.Time
	UsedAt    *time.Time
}

// Setting is one named value of the shop: shop_name, shop_address, time_zone,
// public_address, label_size.
type Setting struct {
	Name  string `gorm:"primaryKey"`
	Value string
}

// Names of the settings.
const (
	SettingShopName      = "shop_name"
	SettingShopAddress   = "shop_address"
	SettingTimeZone      = "time_zone"
	SettingPublicAddress = "public_address"
	SettingLookReason    = "look_reason" // "yes": why is asked for at each look at a customer
	SettingLabelSize     = "label_size"
	SettingBlockOverdue  = "block_overdue"  // "yes": nothing is judged by an overdue gauge
	SettingPaperLanguage = "paper_language" // of certificates, where nobody says another

	SettingWarrantyMonths = "warranty_months" // from the shipment on; UsualWarrantyMonths until it is set
	SettingChartAlarms    = "chart_alarms"    // false alarms a month of all watched charts together; UsualChartAlarms until it is set
	SettingClaimDays      = "claim_days"      // working days within which a claim is answered; UsualClaimDays until it is set
	SettingSecondPerson   = "second_person"   // words of SecondPersons, with a space between: what another person has to confirm

	SettingHourlyRate   = "hourly_rate"   // what an hour at a stand costs, decimal text; empty: nobody said
	SettingRateCurrency = "rate_currency" // of the rate
	SettingBackupKey    = "backup_key"    // public half of the recovery key that backups are encrypted to

	SettingSecondSecret    = "second_secret"    // "yes": desk and owner need one beside their password
	SettingLockMinutes     = "lock_minutes"     // without a hand at it a stand locks; UsualLockMinutes until it is set
	SettingRetentionMonths = "retention_months" // after their last dealings customers are due to be erased; empty: the shop has no rule
)

// SecondPersons are what the shop may want confirmed by another person: of a
// concession the approval, of scrap and a return that it is done, of rework and
// repair the inspection after it, of a corrective action its end. Off until it
// says so.
var SecondPersons = []string{"use_as_is", "rework", "repair", "scrap", "return_supplier", "corrective_action"}

// WantsSecond says whether the shop wants another person for one of them.
func WantsSecond(settings map[string]string, what string) bool {
	return slices.Contains(strings.Fields(settings[SettingSecondPerson]), what)
}

// Actor is who does something: a person, perhaps at an enrolled device. The
// zero Actor is the program itself (a command, the demo's seeder).
type Actor struct {
	PersonID string
	Name     string
	Role     Role
	DeviceID string
	Place    string
	Program  bool // the device reads a gauge, and names the person by itself
}

// SeesBuilders says whether somebody is told how builders differ: who decides about
// the work is, and others are told of themselves alone.
func (a Actor) SeesBuilders() bool { return a.Role == Owner || a.Role == Inspector }

// String names the actor in the trail: the person's id, or "system".
func (a Actor) String() string {
	if a.PersonID == "" {
		return "system"
	}
	return a.PersonID
}
