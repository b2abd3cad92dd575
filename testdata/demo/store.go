package demo

import (
	"context"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/claims"
	"tracewright/models/work/corrective"
	"tracewright/models/work/documents"
	"tracewright/models/work/gauges"
	"tracewright/models/work/labels"
	"tracewright/models/work/nonconforming"
	"tracewright/models/work/receive"
	"tracewright/models/work/release"
	"tracewright/models/work/sealing"
	"tracewright/models/work/stock"
	"tracewright/models/work/studies"
)

// Store is what inventing a shop asks of the database: what the services ask
// that do the work, and the records that stand before it.
type Store interface {
	capture.Store
	release.Store
	sealing.Store
	stock.Store
	receive.Store
	documents.Store
	claims.Store
	nonconforming.Store
	corrective.Store
	labels.Store
	gauges.Store
	studies.Store
	SetSetting(ctx context.Context, stamp models.Stamp, name, value string) error
	AddPerson(ctx context.Context, stamp models.Stamp, p models.Person) error
	AddFamily(ctx context.Context, stamp models.Stamp, f models.Family, first models.Specification) error
	AddSpecification(ctx context.Context, stamp models.Stamp, spec models.Specification) error
	AddProduct(ctx context.Context, stamp models.Stamp, p models.Product, first models.ProductRevision) error
	// AddItems takes in many motors or blocks in few transactions.
	AddItems(ctx context.Context, stamp models.Stamp, items []models.Item) error
	AddCharge(ctx context.Context, stamp models.Stamp, c models.Charge) (models.Charge, error)
	EndCharge(ctx context.Context, stamp models.Stamp, e models.ChargeEnd) error
	AddBuildTick(ctx context.Context, stamp models.Stamp, itemID string, decide func(sofar []models.BuildTick) (*models.BuildTick, error)) error
	AddCapacityTest(ctx context.Context, stamp models.Stamp, t models.CapacityTest) (models.CapacityTest, error)
	AddShelfPlace(ctx context.Context, stamp models.Stamp, p models.ShelfPlace) error
	AddShelfTemperature(ctx context.Context, stamp models.Stamp, t models.ShelfTemperature) error
	AddWantedDate(ctx context.Context, stamp models.Stamp, w models.WantedDate) error
	AddCustomer(ctx context.Context, stamp models.Stamp, c models.Customer) error
	AddOrder(ctx context.Context, stamp models.Stamp, o models.Order) error
	PackKit(ctx context.Context, stamp models.Stamp, p models.KitPacking) error
	KitOf(ctx context.Context, itemID string) (string, error)
	AddShipment(ctx context.Context, stamp models.Stamp, year2 int, sh models.Shipment) (models.Shipment, error)
}

// keeper stands between the services and the database. It gives the records
// that the services make keys of the invented shop, so that a seed is a shop to
// the last byte, and remembers records that hardly change, so that nine months
// pass in seconds.
type keeper struct {
	Store
	newID       func() string
	log         string // id of the shop's own
	settings    map[string]string
	families    map[string]models.Family
	products    map[string]models.Product
	people      map[string]models.Person
	inForce     map[string]models.Specification
	instruments map[string][]models.Instrument
}

func newKeeper(s Store, newID func() string) *keeper {
	k := &keeper{Store: s, newID: newID, families: map[string]models.Family{}, products: map[string]models.Product{}, people: map[string]models.Person{}}
	k.forget()
	return k
}

// forget is called after a change of what is remembered.
func (k *keeper) forget() {
	k.settings, k.inForce, k.instruments = nil, map[string]models.Specification{}, map[string][]models.Instrument{}
}

func remembered[T any](in map[string]T, key string, read func() (T, error)) (T, error) {
	if v, ok := in[key]; ok {
		return v, nil
	}
	v, err := read()
	if err == nil {
		in[key] = v
	}
	return v, err
}

func (k *keeper) Settings(ctx context.Context) (map[string]string, error) {
	if k.settings != nil {
		return k.settings, nil
	}
	var err error
	k.settings, err = k.Store.Settings(ctx)
	return k.settings, err
}

func (k *keeper) Family(ctx context.Context, id string) (models.Family, error) {
	return remembered(k.families, id, func() (models.Family, error) { return k.Store.Family(ctx, id) })
}

func (k *keeper) Product(ctx context.Context, id string) (models.Product, error) {
	return remembered(k.products, id, func() (models.Product, error) { return k.Store.Product(ctx, id) })
}

func (k *keeper) Person(ctx context.Context, id string) (models.Person, error) {
	return remembered(k.people, id, func() (models.Person, error) { return k.Store.Person(ctx, id) })
}

func (k *keeper) SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error) {
	key := familyID
	if productID != nil {
		key += " " + *productID
	}
	return remembered(k.inForce, key, func() (models.Specification, error) { return k.Store.SpecificationInForce(ctx, familyID, productID) })
}

func (k *keeper) InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error) {
	return remembered(k.instruments, strings.Join(codes, " "), func() ([]models.Instrument, error) { return k.Store.InstrumentsByCode(ctx, codes) })
}

// The records of a calibration, of what it leads to and of short checks get keys
// of the shop; what is remembered of gauges is forgotten.
func (k *keeper) AddCalibrationReport(ctx context.Context, stamp models.Stamp, c models.Calibration, r models.CalibrationReport, change func(*models.Instrument, time.Time)) (models.CalibrationReport, error) {
	defer k.forget()
	r.ID = k.newID()
	return k.Store.AddCalibrationReport(ctx, stamp, c, r, change)
}

func (k *keeper) AddGaugeTrace(ctx context.Context, stamp models.Stamp, t models.GaugeTrace) (models.GaugeTrace, error) {
	t.ID = k.newID()
	return k.Store.AddGaugeTrace(ctx, stamp, t)
}

func (k *keeper) AddGaugeCheck(ctx context.Context, stamp models.Stamp, c models.GaugeCheck) (models.GaugeCheck, error) {
	c.ID = k.newID()
	return k.Store.AddGaugeCheck(ctx, stamp, c)
}

// AddInspection gives a hold that a failing recheck raises a key of the shop.
func (k *keeper) AddInspection(ctx context.Context, stamp models.Stamp, n models.NewInspection) (models.Inspection, bool, error) {
	if n.Hold != nil {
		n.Hold.ID = k.newID()
	}
	if n.Passed != nil {
		n.Passed.Step.ID = k.newID()
	}
	return k.Store.AddInspection(ctx, stamp, n)
}

// AddHold gives the hold a key of the shop.
func (k *keeper) AddHold(ctx context.Context, stamp models.Stamp, h models.Hold) (models.Hold, error) {
	h.ID = k.newID()
	return k.Store.AddHold(ctx, stamp, h)
}

// AddCertificate gives the certificate a key of the shop.
func (k *keeper) AddCertificate(ctx context.Context, stamp models.Stamp, year2 int, itemID string,
	make func(number string, revision int, replaces *models.Certificate) (models.Certificate, error)) (models.Certificate, error) {
	return k.Store.AddCertificate(ctx, stamp, year2, itemID, func(number string, revision int, replaces *models.Certificate) (models.Certificate, error) {
		c, err := make(number, revision, replaces)
		c.ID = k.newID()
		return c, err
	})
}

// AddLabelPrints gives the prints keys of the shop.
func (k *keeper) AddLabelPrints(ctx context.Context, stamp models.Stamp, prints []models.LabelPrint) error {
	for i := range prints {
		prints[i].ID = k.newID()
	}
	return k.Store.AddLabelPrints(ctx, stamp, prints)
}

// AddBlocks gives the blocks keys of the shop.
func (k *keeper) AddBlocks(ctx context.Context, stamp models.Stamp, year int, blocks []models.NewBlock) ([]models.Item, error) {
	for i := range blocks {
		blocks[i].Item.ID = k.newID()
	}
	return k.Store.AddBlocks(ctx, stamp, year, blocks)
}

// AddDispositions gives the decisions keys of the shop.
func (k *keeper) AddDispositions(ctx context.Context, stamp models.Stamp, decisions []models.Disposition) error {
	for i := range decisions {
		decisions[i].ID = k.newID()
	}
	return k.Store.AddDispositions(ctx, stamp, decisions)
}

// AddStudy and EndStudy give a study, and the budget that takes it over, keys of the
// shop.
func (k *keeper) AddStudy(ctx context.Context, stamp models.Stamp, study models.GaugeStudy) (models.GaugeStudy, error) {
	study.ID = k.newID()
	return k.Store.AddStudy(ctx, stamp, study)
}

func (k *keeper) EndStudy(ctx context.Context, stamp models.Stamp, end models.StudyEnd, budget *models.UncertaintyBudget) error {
	if budget != nil {
		budget.ID = k.newID()
	}
	return k.Store.EndStudy(ctx, stamp, end, budget)
}
