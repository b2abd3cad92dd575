package bench

import (
	"context"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"tracewright/models/store/storetest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// Where pgbench is not installed the driver does what it would have done: whole
// inspections of 108 readings, as many as it says, and questions that are all read.
func TestRawRatesWithoutPgbench(t *testing.T) {
	const during = 300 * time.Millisecond
	d := Database{DSN: storetest.NeedPostgres(t)}
	if err := d.MakeRaw(t.Context()); err != nil {
		t.Fatal(err)
	}
	rate, err := d.RawPostgres(t.Context(), "", during)
	if err != nil || rate <= 0 {
		t.Fatalf("%v a second, %v", rate, err)
	}
	conn, err := pgx.Connect(context.Background(), d.DSN)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	var inspections, readings int
	if err := conn.QueryRow(t.Context(), "SELECT (SELECT count(*) FROM bench_inspections), (SELECT count(*) FROM bench_readings)").Scan(&inspections, &readings); err != nil {
		t.Fatal(err)
	}
	if inspections == 0 || readings != 108*inspections {
		t.Errorf("%d readings of %d inspections, want 108 each", readings, inspections)
	}
	// What is begun at the end is finished, which takes time too.
	if most := float64(inspections) / during.Seconds(); rate > most {
		t.Errorf("%.0f a second are told, at most %.0f were written", rate, most)
	}
	looks := [][]string{{"SELECT serial FROM bench_inspections LIMIT 1", "SELECT count(*) FROM bench_inspections"}}
	if rate, err := d.rawLooks(t.Context(), "", looks, during); err != nil || rate <= 0 {
		t.Errorf("look-ups: %v a second, %v", rate, err)
	}
	if _, err := d.rawLooks(t.Context(), "", [][]string{{"SELECT x FROM nowhere"}}, during); err == nil {
		t.Error("a question that fails is told as a rate")
	}
}
