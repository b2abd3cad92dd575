package store

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"sync"

	"github.com/jackc/pgx/v5/pgtype"
	"gorm.io/gorm/schema"

	"tracewright/models"
)

// first finds one record; none is models.ErrNotFound.
func first[T any](ctx context.Context, s *Store, doing string, where string, args ...any) (T, error) {
	return one[T](ctx, s, doing, " WHERE "+where+" LIMIT 1", args)
}

// newest finds the first record in an order; none is models.ErrNotFound.
func newest[T any](ctx context.Context, s *Store, doing, order, where string, args ...any) (T, error) {
	return one[T](ctx, s, doing, " WHERE "+where+" ORDER BY "+order+" LIMIT 1", args)
}

func one[T any](ctx context.Context, s *Store, doing, rest string, args []any) (T, error) {
	records, err := read[T](ctx, s, doing, "", rest, args...)
	if err == nil && len(records) > 0 {
		return records[0], nil
	}
	var none T
	return none, oneFault(err, doing)
}

// oneFault is why there is no record.
func oneFault(err error, doing string) error {
	if err == nil {
		err = fault(models.ErrNotFound, "%s", doing)
	}
	return err
}

// list finds many records in an order.
func list[T any](ctx context.Context, s *Store, doing, order string, where string, args ...any) ([]T, error) {
	return read[T](ctx, s, doing, "", " WHERE "+where+" ORDER BY "+order, args...)
}

// read finds records by what stands before and behind the SELECT of their table.
func read[T any](ctx context.Context, s *Store, doing, with, rest string, args ...any) ([]T, error) {
	r := gathered[T]{list: []T{}}
	found, shared, err := s.readRows(ctx, shapeOf[T](), doing, with, rest, args, reflect.ValueOf(&r.record).Elem(), &r)
	records, _ := found.([]T)
	if shared {
		records = slices.Clone(records)
	}
	return records, err
}

// gathered are the records of a question. What there is to do besides is compiled once, not for
// each kind of record.
type gathered[T any] struct {
	record T
	list   []T
}

// begin empties the record: what JSON leaves out is empty, and shares nothing with
// the row before.
func (r *gathered[T]) begin() {
	var none T
	r.record = none
}

func (r *gathered[T]) keep() { r.list = append(r.list, r.record) }

func (r *gathered[T]) all() any { return r.list }

// readRows fills the record with one row after another, and gives what is gathered;
// shared says that others may have got it too.
func (s *Store) readRows(ctx context.Context, x *shape, doing, with, rest string, args []any, record reflect.Value, rows interface {
	begin()
	keep()
	all() any
}) (found any, shared bool, err error) {
	q := s.question(with+x.selects+rest, args, nil)
	found, shared, err = recalled(ctx, q, func() (any, error) {
		into := x.into(record)
		q.row = func(scan func(...any) error) error {
			rows.begin()
			if err := scan(into...); err != nil {
				return err
			}
			rows.keep()
			return nil
		}
		err := s.ask(ctx, q)
		return rows.all(), err
	})
	return found, shared, fault(err, "%s", doing)
}

// shape says how the records of a type lie in their table, by the names that gorm
// gives: what is read everywhere is read without its reflection for each query and
// value.
type shape struct {
	columns string // with their table, in the order of fields
	selects string // SELECT columns FROM table
	fields  []shapedField
}

type shapedField struct {
	index []int
	form  form
}

// form is how a column becomes a field.
type form int

const (
	plainly form = iota
	asText       // a text, where NULL is empty
	asJSON       // a text that holds JSON, where NULL is empty
)

var (
	shapes  sync.Map // reflect.Type -> *shape
	schemas sync.Map // gorm's own
)

func shapeOf[T any]() *shape { return shapeFor(reflect.TypeFor[T]()) }

func shapeFor(key reflect.Type) *shape {
	if known, ok := shapes.Load(key); ok {
		return known.(*shape)
	}
	parsed, err := schema.Parse(reflect.New(key).Interface(), &schemas, names{})
	if err != nil {
		panic(fmt.Sprintf("%s is no record: %v", key, err)) // A mistake in the program: no request leads here.
	}
	x := &shape{}
	for _, f := range parsed.Fields {
		if f.DBName == "" || !f.Readable {
			continue
		}
		if x.columns != "" {
			x.columns += ", "
		}
		x.columns += `"` + parsed.Table + `"."` + f.DBName + `"` // With its table: SQLite takes a bare name in quotes that is none of a column for a text.
		x.fields = append(x.fields, shapedField{f.StructField.Index, formOf(f)})
	}
	x.selects = "SELECT " + x.columns + ` FROM "` + parsed.Table + `"`
	known, _ := shapes.LoadOrStore(key, x)
	return known.(*shape)
}

func formOf(f *schema.Field) form {
	switch {
	case f.Serializer != nil:
		return asJSON
	case f.FieldType.Kind() == reflect.String:
		return asText
	}
	return plainly
}

// into gives where the columns of a row go, so that they are found in a record.
func (x *shape) into(record reflect.Value) []any {
	into := make([]any, len(x.fields))
	for i, f := range x.fields {
		field := record.FieldByIndex(f.index).Addr()
		switch f.form {
		case asText:
			into[i] = field.Convert(reflect.TypeFor[*emptyText]()).Interface()
		case asJSON:
			into[i] = &jsonInto{field.Elem()}
		default:
			into[i] = field.Interface()
		}
	}
	return into
}

// emptyText takes a text or key, and nothing as an empty one.
type emptyText string

// ScanText implements pgtype.TextScanner.
func (t *emptyText) ScanText(v pgtype.Text) error {
	*t = emptyText(v.String)
	return nil
}

// Scan implements sql.Scanner.
func (t *emptyText) Scan(v any) error {
	*t = emptyText(textOf(v))
	return nil
}

// jsonInto decodes a text into a field that is empty.
type jsonInto struct{ field reflect.Value }

// ScanBytes implements pgtype.BytesScanner.
func (j *jsonInto) ScanBytes(text []byte) error {
	switch kind := j.field.Kind(); {
	case len(text) == 0, kind == reflect.Struct && string(text) == "{}":
		return nil
	case kind == reflect.Slice && string(text) == "[]": // As most are.
		j.field.Set(reflect.MakeSlice(j.field.Type(), 0, 0))
		return nil
	}
	return json.Unmarshal(text, j.field.Addr().Interface())
}

// Scan implements sql.Scanner.
func (j *jsonInto) Scan(v any) error {
	switch v := v.(type) {
	case string:
		return j.ScanBytes([]byte(v))
	case []byte:
		return j.ScanBytes(v)
	case nil:
		return nil
	}
	return fmt.Errorf("%T is no JSON", v)
}
