package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"time"

	"github.com/jackc/pgx/v5/pgtype"

	"tracewright/models"
)

// columnValues is one column of many rows: the array that a statement of [table]
// unnests. It is written from the rows straight into the message. As a list of one
// type it would be gathered first, and each value boxed on its way through pgx: of an
// inspection's rows there are six hundred, and whoever writes is waited for.
type columnValues struct {
	rows [][]any
	at   int
}

// GoString keeps the readings of a whole group out of the driver's errors.
func (c columnValues) GoString() string {
	return fmt.Sprintf("column %d of %d rows", c.at+1, len(c.rows))
}

// columnTypes are the types of the columns of a [table], by their names there.
var columnTypes = map[string]struct {
	array, element uint32
	put            func(out []byte, value any) ([]byte, error) // of one that is not null
}{
	"text":             {pgtype.TextArrayOID, pgtype.TextOID, putText},
	"json":             {pgtype.JSONArrayOID, pgtype.JSONOID, putText},
	"uuid":             {pgtype.UUIDArrayOID, pgtype.UUIDOID, putUUID},
	"integer":          {pgtype.Int4ArrayOID, pgtype.Int4OID, putInteger},
	"bigint":           {pgtype.Int8ArrayOID, pgtype.Int8OID, putBigint},
	"boolean":          {pgtype.BoolArrayOID, pgtype.BoolOID, putBoolean},
	"double precision": {pgtype.Float8ArrayOID, pgtype.Float8OID, putDouble},
	"timestamptz":      {pgtype.TimestamptzArrayOID, pgtype.TimestamptzOID, putMoment},
}

// takeColumns has a connection take [columnValues] for the arrays of all these types.
func takeColumns(m *pgtype.Map) {
	for _, t := range columnTypes {
		known, _ := m.TypeForOID(t.array)
		m.RegisterType(&pgtype.Type{Name: known.Name, OID: t.array, Codec: columnCodec{known.Codec, writeColumn{t.element, t.put}}})
	}
}

// columnCodec writes [columnValues], and hands whatever else it is given on.
type columnCodec struct {
	pgtype.Codec
	column writeColumn
}

// PlanEncode implements [pgtype.Codec].
func (c columnCodec) PlanEncode(m *pgtype.Map, oid uint32, format int16, value any) pgtype.EncodePlan {
	if _, ok := value.(columnValues); ok && format == pgtype.BinaryFormatCode {
		return c.column
	}
	return c.Codec.PlanEncode(m, oid, format, value)
}

type writeColumn struct {
	element uint32
	put     func([]byte, any) ([]byte, error)
}

// Encode implements [pgtype.EncodePlan] by the form that array_recv reads
// (src/backend/utils/adt/arrayfuncs.c): dimensions, whether there may be nulls, the type
// of the elements, and for the one dimension its length and the first index; then each
// element behind its length, which is -1 for a null.
func (w writeColumn) Encode(value any, out []byte) ([]byte, error) {
	c := value.(columnValues)
	for _, n := range []uint32{1, 1, w.element, uint32(len(c.rows)), 1} {
		out = binary.BigEndian.AppendUint32(out, n)
	}
	for _, row := range c.rows {
		v := pointedTo(row[c.at])
		if v == nil {
			out = binary.BigEndian.AppendUint32(out, math.MaxUint32)
			continue
		}
		before := len(out)
		var err error
		if out, err = w.put(append(out, 0, 0, 0, 0), v); err != nil {
			return nil, err
		}
		binary.BigEndian.PutUint32(out[before:], uint32(len(out)-before-4))
	}
	return out, nil
}

// pointedTo is the value itself, and nil for none.
func pointedTo(v any) any {
	switch p := v.(type) {
	case *string:
		return behind(p)
	case *int:
		return behind(p)
	case *int64:
		return behind(p)
	case *float64:
		return behind(p)
	case *time.Time:
		return behind(p)
	}
	return v
}

func behind[T any](p *T) any {
	if p == nil {
		return nil
	}
	return *p
}

var errColumn = errors.New("not of the column's type")

// as is a value of the type that a column holds.
func as[T any](v any) (T, error) {
	x, ok := v.(T)
	if !ok {
		return x, fmt.Errorf("%T: %w", v, errColumn)
	}
	return x, nil
}

func putText(out []byte, v any) ([]byte, error) {
	text, err := as[string](v)
	return append(out, text...), err
}

// putUUID takes 36 characters, as keys are made; what has another form is the key of nothing.
func putUUID(out []byte, v any) ([]byte, error) {
	text, err := as[string](v)
	if err != nil {
		return nil, err
	}
	var key pgtype.UUID // It does not look what stands between the digits.
	if len(text) != 36 || text[8] != '-' || text[13] != '-' || text[18] != '-' || text[23] != '-' || key.Scan(text) != nil {
		return nil, fmt.Errorf("the key %q: %w", text, models.ErrNotFound)
	}
	return append(out, key.Bytes[:]...), nil
}

func putInteger(out []byte, v any) ([]byte, error) {
	n, err := wholeIn(v)
	if err == nil && (n < math.MinInt32 || n > math.MaxInt32) {
		err = fmt.Errorf("%d: %w", n, errColumn)
	}
	return binary.BigEndian.AppendUint32(out, uint32(n)), err
}

func putBigint(out []byte, v any) ([]byte, error) {
	n, err := wholeIn(v)
	return binary.BigEndian.AppendUint64(out, uint64(n)), err
}

func wholeIn(v any) (int64, error) {
	if n, ok := v.(int); ok {
		return int64(n), nil
	}
	return as[int64](v)
}

func putBoolean(out []byte, v any) ([]byte, error) {
	b, err := as[bool](v)
	if b {
		return append(out, 1), err
	}
	return append(out, 0), err
}

func putDouble(out []byte, v any) ([]byte, error) {
	f, err := as[float64](v)
	return binary.BigEndian.AppendUint64(out, math.Float64bits(f)), err
}

// epoch is PostgreSQL's, 2000-01-01 (src/include/datatype/timestamp.h).
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).UnixMicro()

func putMoment(out []byte, v any) ([]byte, error) {
	t, err := as[time.Time](v)
	return binary.BigEndian.AppendUint64(out, uint64(t.UnixMicro()-epoch)), err
}
