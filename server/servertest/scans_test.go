package servertest

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
)

// What was scanned is said exactly, at a stand and in the find field: another
// shop's serial, a lot's label, a supplier's code, a maker's number, the paper
// of a certificate. Symbology prefixes are understood.
func TestWhatWasScannedIsSaid(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, stamp := t.Context(), models.NewStamp(s.Shop.Owner, s.Now)
		wheel := s.Serial[models.KindWheel]
		foreign, _, err := ident.Next(ident.Wheel, 31, 30000)
		s.Must(err)
		roll, err := s.App.Services.Receive.AddRoll(ctx, s.Shop.Owner, receive.NewRoll{Kind: models.KindWheel, Count: 9})
		s.Must(err)
		printed := receive.Serials(roll)[0]
		// The lot's code, hyphen aside, reads like the end of a serial.
		for _, code := range []string{"SP-0214", "2031/14"} {
			s.Must(s.Store.AddLot(ctx, stamp, models.Lot{ID: models.NewID(), Code: code, Material: "spokes", ReceivedAt: s.Now}))
		}
		number := "N9-220431"
		_, err = s.Store.AddItem(ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: &number, State: models.StateInProcess, Origin: "received"}, nil)
		s.Must(err)
		paper := wheel + " C31-00001/1 " + strings.Repeat("0a", 32)
		gs1 := "010952123450001810A-1\x1d21" // Sample number of GS1, with a lot; a serial behind it.

		stand := func(name, typed string, status int, says ...string) Row {
			return Row{Name: "stand: " + name, Who: OperatorAtStand, Path: "/api/v1/plans/" + url.PathEscape(typed), Status: status, Has: says}
		}
		find := func(name, typed string, status int, says ...string) Row {
			return Row{Name: "find: " + name, Who: Desk, Path: "/find?q=" + url.QueryEscape(typed), Status: status, Has: says}
		}
		to := func(row Row, location string) Row {
			row.Headers = map[string]string{"Location": location}
			return row
		}
		item := "/items/" + wheel
		s.Run(t, []Row{
			stand("a serial from a Code 128", "]C0"+wheel, http.StatusOK, `"serial":"`+wheel+`"`),
			stand("from a Data Matrix", "]d1"+wheel, http.StatusOK, `"serial":"`+wheel+`"`),
			stand("from a QR code", "]Q1"+wheel, http.StatusOK, `"serial":"`+wheel+`"`),
			stand("its end, by hand", wheel[4:], http.StatusOK, `"serial":"`+wheel+`"`),
			stand("its end, scanned, is no serial", "]C0"+wheel[4:], http.StatusUnprocessableEntity, `"serial_form"`),
			stand("of another shop", foreign, http.StatusNotFound, `"foreign_serial"`, "this shop never gave it out"),
			stand("an end that nothing has", "ZZZZZ", http.StatusNotFound, `"serial_tail_unknown"`, "No item here ends in ZZZZZ"),
			stand("damaged", wheel[:8]+"Z", http.StatusUnprocessableEntity, `"serial_check"`),
			stand("a lot's label", "]C0SP-0214", http.StatusUnprocessableEntity, "SP-0214 is a lot of spokes, not an item"),
			stand("a lot's code with a slash", "2031/14", http.StatusUnprocessableEntity, "2031/14 is a lot of spokes"),
			stand("a maker's number", number, http.StatusUnprocessableEntity, "N9-220431 is the maker’s number of a motor, Norvik R9"),
			stand("a supplier's code with it", "]d2"+gs1+number, http.StatusUnprocessableEntity, "is the maker’s number of a motor"),
			stand("a supplier's code of nothing here", "]d2"+gs1+"X9", http.StatusUnprocessableEntity, "article 09521234500018, lot A-1, serial X9"),
			stand("a supplier's code, damaged", "]d20109521234", http.StatusUnprocessableEntity, "cannot be read whole"),
			stand("an article number", "]E09521234500018", http.StatusUnprocessableEntity, "9521234500018 is an article number"),
			stand("a web address", "]Q1https://shop.example/c/abc", http.StatusUnprocessableEntity, "That is a web address, https://shop.example/c/abc"),
			stand("the paper of a certificate", "]Q1"+paper, http.StatusUnprocessableEntity, "the code on certificate C31-00001/1 of "+ident.Print(wheel)),

			to(find("a serial with a prefix", "]d1"+wheel, http.StatusSeeOther), item),
			to(find("the paper of a certificate", "]Q1"+paper, http.StatusSeeOther), item),
			to(find("a lot's label", "]C0SP-0214", http.StatusSeeOther), "/lots/SP-0214"),
			find("of another shop", foreign, http.StatusNotFound, "this shop never gave it out"),
			find("on a printed roll", printed, http.StatusNotFound, "was not scanned at a stand or bench yet"),
			{Name: "find: and may be recorded", Who: Operator, Path: "/find?q=" + printed, Status: http.StatusNotFound, Has: []string{"Record it as a wheel"}},
			{Name: "find: another shop's may not", Who: Operator, Path: "/find?q=" + foreign, Status: http.StatusNotFound, HasNot: []string{"Record it as a wheel"}},
			find("a supplier's code of nothing here", "]d2"+gs1+"X9", http.StatusNotFound, "article 09521234500018, lot A-1, serial X9"),
			find("damaged", wheel[:8]+"Z", http.StatusUnprocessableEntity, "That serial is mistyped"),
			find("a web address", "https://shop.example/c/abc", http.StatusNotFound, "That is a web address"),
			{Name: "find: a supplier's code with the motor's number", Who: Desk, Path: "/find?q=" + url.QueryEscape("]d2"+gs1+number), Status: http.StatusSeeOther},
			{Name: "a lot with a slash has its page", Who: Desk, Path: "/lots/2031%2F14", Status: http.StatusOK, Has: []string{"2031/14"}},
		})

		part := func(name, sent string, says string) Row {
			sub := s.Extremes()
			sub.Parts = []models.SentPart{{Role: "motor", Number: sent}}
			return Row{Name: "part: " + name, Who: OperatorAtStand, Method: http.MethodPost, Path: "/api/v1/preview", Body: sub, Status: http.StatusUnprocessableEntity, Has: []string{says}}
		}
		s.Run(t, []Row{
			part("a wheel's serial", wheel, ident.Print(wheel)+" is the serial of a wheel. The number of a motor or block is wanted here"),
			part("a lot's label", "SP-0214", "SP-0214 is the code of a lot"),
			part("nobody's", "N9-0", `"unknown_number"`),
		})
	})
}
