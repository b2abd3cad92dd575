package store

import (
	"context"
	"reflect"
	"slices"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
	"gorm.io/gorm/schema"

	"tracewright/models"
)

// StatementsOf gives the statements, with their values, that ask reads by.
func (s *Store) StatementsOf(ask func(*Store) error) ([]string, error) {
	var all []string
	err := ask(s.Watched(func(x string) { all = append(all, x) }))
	return all, err
}

// Counters lists the tables that a restoration moves on.
func Counters() []string {
	return slices.Sorted(slices.Values(append([]string{"serial_counters"}, yearCounters...)))
}

// AddSession signs somebody in.
func (s *Store) AddSession(ctx context.Context) error {
	return s.Sessions(time.Now).CommitCtx(ctx, "token", []byte{1}, time.Now().Add(time.Hour))
}

// DueCustomersSQL is the question for customers whose time is over.
const DueCustomersSQL = dueCustomers

// OpenOrdersSQL is the question for a customer's open orders.
const OpenOrdersSQL = openOrders

// OfCustomers writes a question about customers in the dialect.
func (s *Store) OfCustomers(text string) string { return s.ofCustomers(text) }

// ForgetToolPlaces has programs of PostgreSQL looked for in PATH alone, until the
// test ends.
func ForgetToolPlaces(t interface{ Cleanup(func()) }) {
	before := toolPlaces
	toolPlaces = nil
	t.Cleanup(func() { toolPlaces = before })
}

// MayBeEmpty says by table and column whether a field can hold nothing, for the
// records with a column that may be empty.
func MayBeEmpty() map[string]map[string]bool {
	tables := map[string]map[string]bool{}
	for _, record := range []any{new(models.BlockReceipt), new(models.CalibrationReport), new(models.Certificate), new(models.ChartBaseline), new(models.ChartEvent), new(models.ClaimEvent), new(models.Claim),
		new(models.DeviceDoubt), new(models.Device), new(models.Draft), new(models.FittedPart), new(models.GaugeCheck), new(models.GaugeTrace), new(models.Hold), new(models.Inspection), new(models.Item), new(models.KitPacking),
		new(models.LotDecision), new(models.LotExplanation), new(models.LotMix), new(models.Nonconformity), new(models.NonconformityStep), new(models.OneTimeLink), new(models.Person), new(models.ReadingSet),
		new(models.RecoveryCode), new(models.Result), new(models.SecondSecret), new(models.SerialRoll), new(models.ServerKey), new(models.Session), new(models.ShelfTemperature), new(models.SignalCause),
		new(models.Specification), new(models.StudyReading), new(models.TrailEntry), new(models.TurnRound), new(models.UncertaintyBudget), new(models.Unplaced), new(models.UnplacedSettlement)} {
		parsed, err := schema.Parse(record, &schemas, names{})
		if err != nil {
			panic(err)
		}
		fields := map[string]bool{}
		for _, f := range parsed.Fields {
			if f.DBName != "" {
				fields[f.DBName] = formOf(f) != plainly || f.FieldType.Kind() == reflect.Pointer || f.FieldType.Kind() == reflect.Slice
			}
		}
		tables[parsed.Table] = fields
	}
	return tables
}

// Sleep has PostgreSQL wait, for a question that somebody gives up.
func (s *Store) Sleep(ctx context.Context) error {
	_, err := s.pool.Exec(ctx, "SELECT pg_sleep(20)")
	return err
}

// AtOnce takes so many connections of a PostgreSQL pool at once, and gives them back
// together.
func (s *Store) AtOnce(ctx context.Context, n int) error {
	var held []*pgxpool.Conn
	defer func() {
		for _, c := range held {
			c.Release()
		}
	}()
	for range n {
		c, err := s.pool.Acquire(ctx)
		if err != nil {
			return err
		}
		held = append(held, c)
	}
	return nil
}

// ForgetWhatItLeftFrom makes of a shipped item one that was shipped before that was kept.
func (s *Store) ForgetWhatItLeftFrom(itemID string) error {
	return s.write.Exec("UPDATE items SET left_from = NULL WHERE id = ?", itemID).Error
}
