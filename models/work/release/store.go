package release

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what release asks of the database.
type Store interface {
	// Together has parts of one question read at the same time; none may write.
	Together(ctx context.Context, parts ...func(context.Context) error) error

	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error)
	Specification(ctx context.Context, id string) (models.Specification, error)
	// SpecificationForStock gives a newer revision than the one named that applies to
	// stock, or models.ErrNotFound.
	SpecificationForStock(ctx context.Context, than, familyID string, productID *string) (models.Specification, error)
	// InspectionsOf gives every inspection of an item, newest first, replaced
	// ones among them.
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)
	InspectionView(ctx context.Context, id string) (models.InspectionView, error)
	// CalibrationsOf lists the calibrations of instruments, each one's oldest
	// first.
	CalibrationsOf(ctx context.Context, instrumentIDs []string) ([]models.Calibration, error)
	Parts(ctx context.Context, itemID string) ([]models.PartView, error)
	// RemovalsOf lists what was taken out of an item.
	RemovalsOf(ctx context.Context, itemID string) ([]models.PartRemoval, error)
	Person(ctx context.Context, id string) (models.Person, error)
	Settings(ctx context.Context) (map[string]string, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)

	// PartsSetAside lists the parts of an item, through all levels, that are in
	// quarantine, PartsElsewhere those that are recorded in another item too.
	PartsSetAside(ctx context.Context, itemID string) ([]models.Item, error)
	PartsElsewhere(ctx context.Context, itemID string) ([]models.Item, error)
	// LotsSetAside lists the lots in an item, through all levels, that are in
	// quarantine or went back.
	LotsSetAside(ctx context.Context, itemID string) ([]models.Lot, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	ChargesReaching(ctx context.Context, itemID string) ([]models.ChargeView, error)
	OpenHolds(ctx context.Context, itemID string) ([]models.Hold, error)
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	// TurnsOf lists what was turned of an item and taken back, in order.
	TurnsOf(ctx context.Context, itemID string) ([]models.TurnDone, error)
	// TurnStopOf gives the newest comparison of an item's readings with the
	// turns before them, with its answer, or models.ErrNotFound.
	TurnStopOf(ctx context.Context, itemID string) (models.TurnStop, error)
	// Defects are the codes of the shop.
	Defects(ctx context.Context) (models.Defects, error)
	Hold(ctx context.Context, id string) (models.Hold, error)
	// NonconformityOn is the open one that stands on a hold, OpenNonconformity that
	// of an item, ConcessionOf its newest concession; or models.ErrNotFound.
	NonconformityOn(ctx context.Context, holdID string) (models.NonconformityView, error)
	OpenNonconformity(ctx context.Context, itemID string) (models.NonconformityView, error)
	ConcessionOf(ctx context.Context, itemID string) (models.Concession, error)
	AddHold(ctx context.Context, stamp models.Stamp, h models.Hold) (models.Hold, error)
	LiftHold(ctx context.Context, stamp models.Stamp, l models.HoldLift) error

	// Grounds tells of items what a release of each rests on, as a digest that is
	// another when any of that is.
	Grounds(ctx context.Context, items []string) (map[string]string, error)
	// AddCertificate numbers a certificate and stores what make answers with,
	// in one transaction with the item locked: the revision in force becomes
	// superseded, and the item released. models.ErrStale where the item rests on
	// something else than the certificate's Grounds meanwhile.
	AddCertificate(ctx context.Context, stamp models.Stamp, year2 int, itemID string,
		make func(number string, revision int, replaces *models.Certificate) (models.Certificate, error)) (models.Certificate, error)
	Certificate(ctx context.Context, id string) (models.Certificate, error)
	CertificateByNumber(ctx context.Context, number string, revision int) (models.Certificate, error)
	// CertificateNumbered gives the newest revision of a number.
	CertificateNumbered(ctx context.Context, number string) (models.Certificate, error)
	CertificatesOf(ctx context.Context, itemID string) ([]models.CertificateView, error)
	// CertificateInForce gives the item's, or models.ErrNotFound.
	CertificateInForce(ctx context.Context, itemID string) (models.Certificate, error)
	VoidCertificate(ctx context.Context, stamp models.Stamp, c models.CertificateChange) error
	// Paper gives the drawing of a certificate in a state, or models.ErrNotFound.
	Paper(ctx context.Context, certificateID, state string) (models.CertificatePaper, error)
	KeepPaper(ctx context.Context, paper models.CertificatePaper, file models.File) error
	File(ctx context.Context, hash string) (models.File, error)
}

// Drawing is what the drawing of a certificate is made from.
type Drawing struct {
	Content   models.CertificateContent
	Canonical []byte            // attached to the paper
	Hash      string            // SHA-256 of Canonical
	Signature *models.Signature // over Canonical; nil of one from before signing
	State     string
	Change    *models.CertificateChange // why it is no longer in force
	ChangedOn string                    // day, in the shop's zone
	Successor int                       // revision that superseded it; 0 when none
}

// Draw makes the bytes of a certificate's paper.
type Draw func(Drawing) ([]byte, error)

// Service releases items, issues certificates, and raises and lifts holds.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
	draw  Draw
	// against is nil where nobody keeps a stock, sealing where nothing can be
	// signed.
	against Against
	sealing Sealing
}

// Against says, by their keys, what the stock had against blocks at the moment
// they were fitted.
type Against func(ctx context.Context, parts []models.FittedPart) (map[string][]models.Remark, error)

// Heed takes what the stock knows of blocks into account from now on.
func (s *Service) Heed(against Against) { s.against = against }

// New makes the service; draw is the report that puts a certificate on paper.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location, draw Draw) *Service {
	return &Service{store: store, now: now, zone: zone, draw: draw}
}
