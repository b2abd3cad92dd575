package servertest

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/hex"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/release"
	"tracewright/models/work/shipping"
	"tracewright/models/work/shop"
	"tracewright/models/work/worktest"
	"tracewright/reports/pdf/pdftest"
)

// content reads the frozen content out of an answer.
func content(t *testing.T, body []byte) models.CertificateContent {
	t.Helper()
	var answer struct{ Content models.CertificateContent }
	if err := json.Unmarshal(body, &answer); err != nil {
		t.Fatal(err)
	}
	return answer.Content
}

// A certificate is revised in another language, after a name was put right, and
// after a newer inspection; each is complete, and the earlier ones stay as they
// were.
func TestACertificateIsRevised(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial := s.Serial[models.KindWheel]
		const at = "/api/v1/certificates/C31-00001/"
		read, again := s.Extremes(), s.Extremes()
		again.Stage, again.StartedAt, again.FinishedAt = models.Recheck, s.Now, s.Now
		issue := func(name string, in object, status int, has ...string) Row {
			in["confirm"] = object{"pin": PIN}
			return Row{Name: name, Who: OperatorAtStand, Method: http.MethodPost, Path: "/api/v1/items/" + serial + "/certificates", Body: in, Status: status, Has: has}
		}
		says := func(revision, language, shop, inspection, replaces string) Row {
			return Row{Name: "what revision " + revision + " says", Who: Desk, Path: at + revision, Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				c, replaced := content(t, body), ""
				if c.Replaces != nil {
					replaced = string(rune('0' + c.Replaces.Revision))
				}
				if c.Version != 2 || c.Language != language || c.Issuer.Name != shop || c.Inspection.ID != inspection || replaced != replaces || c.Key != "test-key" || c.Log == nil || c.Log.Size != 6 {
					t.Errorf("version %d in %q by %q on %s, replaces %q, key %q, log %+v", c.Version, c.Language, c.Issuer.Name, c.Inspection.ID, replaced, c.Key, c.Log)
				}
			}}
		}
		paper := func(revision string, has ...string) Row {
			return Row{Name: "the paper of revision " + revision, Who: Desk, Path: at + revision + "/paper", Status: http.StatusOK, After: func(t *testing.T, _ http.Header, body []byte) {
				text := pdftest.Text(t, body)
				for _, want := range has {
					if !strings.Contains(text, want) {
						t.Errorf("the paper does not say %q", want)
					}
				}
			}}
		}
		shop := func(name, zone string) Row {
			return s.opened(t, Posted(name, Owner, "/shop", url.Values{"name": {"Speichenhof Test e.U."}, "time_zone": {zone}, "label_size": {"62x29"}, "warranty_months": {"24"}, "paper_language": {"en"}}, http.StatusSeeOther))
		}
		s.Run(t, []Row{
			{Name: "a wheel", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: read, Status: http.StatusCreated},
			issue("certified", object{}, http.StatusCreated, `"revision":1`, `"signature":{"key":"test-key"`),
			issue("in no language", object{"reason": "for abroad", "language": "xx"}, http.StatusUnprocessableEntity, `"language"`, `"unknown_choice"`),
			issue("without a reason", object{"language": "de"}, http.StatusUnprocessableEntity, `"reason_needed"`),
			issue("only the language changes", object{"reason": "für den Kunden in Graz", "language": "de"}, http.StatusCreated, `"C31-00001"`, `"revision":2`),
			says("1", "en", "Speichenhof Test", read.ID, ""),
			says("2", "de", "Speichenhof Test", read.ID, "1"),
			paper("2", "Prüfbescheinigung", "ersetzt Revision 1 vom 12.05.2031", "Grund für Revision 2: für den Kunden in Graz", "0,22 mm max. 0,30", "signiert, Schlüssel test-key"),
			paper("1", "Inspection certificate", "Superseded by revision 2 on 12 May 2031", "Reason: für den Kunden in Graz"),
			shop("the shop’s name was wrong", "UTC"),
			issue("a name", object{"reason": "our name was incomplete"}, http.StatusCreated, `"revision":3`),
			says("3", "de", "Speichenhof Test e.U.", read.ID, "2"), // in the language of the one before
			says("2", "de", "Speichenhof Test", read.ID, "1"),
			{Name: "read again", Who: OperatorAtStand, Path: "/api/v1/inspections", Body: again, Status: http.StatusCreated},
			{Name: "the page says on what it will rest", Who: Operator, Path: "/items/" + serial + "/release", Status: http.StatusOK,
				Has: []string{"It rests on the newer inspection, of 12 May 2031.", "C31-00001 revision 3 stays on record as superseded", "Issue revision 4", `<option value="de" selected>Deutsch</option>`}},
			shop("far to the east", "Pacific/Kiritimati"), // 14 hours ahead: the next day
			{Name: "by the shop’s own day", Who: Operator, Path: "/items/" + serial + "/release", Status: http.StatusOK, Has: []string{"It rests on the newer inspection, of 13 May 2031."}},
			shop("and back", "UTC"),
			s.opened(t, Posted("from the item’s page", Operator, "/items/"+serial+"/release", url.Values{"reason": {"rechecked"}, "language": {"en"}, "confirm.password": {Password}}, http.StatusSeeOther)),
			says("4", "en", "Speichenhof Test e.U.", again.ID, "3"),
			{Name: "and none of an item on hold", Who: Desk, Path: "/api/v1/holds", Body: object{"item": serial, "code": "W15", "reason": "a hairline"}, Status: http.StatusCreated},
			issue("whatever for", object{"reason": "the language", "language": "de"}, http.StatusConflict, `"on_hold"`),
		})
	})
}

// What left the shop may still get a paper that is right, and stays shipped.
func TestACertificateOfWhatLeftIsRevised(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		wheel := s.Item[models.KindWheel]
		s.certified(t, "")
		s.kitted(t)
		if c := s.issued(t, "the serial of the motor was wrong"); c.Revision != 2 {
			t.Errorf("revision %d, want 2", c.Revision)
		}
		item, err := s.Store.Item(t.Context(), wheel.ID)
		s.Must(err)
		if item.State != models.StateShipped {
			t.Errorf("the wheel is %s, want shipped", item.State)
		}
	})
}

// The shop's language is that of its first papers.
func TestTheShopsLanguageIsThatOfItsPapers(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		s.Must(s.App.Services.Shop.Set(t.Context(), s.Shop.Owner, shop.Settings{Name: "Speichenhof", TimeZone: "UTC", PaperLanguage: "de"}))
		if c := s.certified(t, ""); c.Language != "de" {
			t.Errorf("language %q, want de", c.Language)
		}
		s.run(t, Row{Who: Owner, Path: "/shop", Status: http.StatusOK, Has: []string{`<option value="de" selected>Deutsch</option>`}})
	})
}

// The payload and its signature are taken out of the file again, and checked by
// the key alone; one byte changed, and they do not fit.
func TestThePaperIsCheckedByTheKeyAlone(t *testing.T) {
	s := On(t, openSQLite(t))
	s.certified(t, "")
	_, _, pdf := s.Do(t, Row{Who: Desk, Path: "/api/v1/certificates/C31-00001/1/paper"})
	files := pdftest.Attachments(t, pdf)
	payload := files["certificate-C31-00001-1.json"]
	var signature models.Signature
	s.Must(json.Unmarshal(files["certificate-C31-00001-1.signature.json"], &signature))
	value, err := hex.DecodeString(signature.Value)
	s.Must(err)
	public := worktest.NewSigner().Key.Public().(ed25519.PublicKey)
	fits := func(payload []byte) bool {
		return ed25519.Verify(public, append([]byte("qc-certificate-v1\n"), payload...), value)
	}
	if !fits(payload) || signature.KeyID != "test-key" {
		t.Fatalf("the signature by %q does not fit the payload %s", signature.KeyID, payload)
	}
	for i := range payload {
		changed := bytes.Clone(payload)
		changed[i] ^= 1
		if fits(changed) {
			t.Fatalf("the signature still fits with byte %d changed", i)
		}
	}
}

// Without a key nothing is issued, no number is taken, and it is said.
func TestNothingIsIssuedUnsigned(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		serial := s.Serial[models.KindWheel]
		s.MustRecord(s.Extremes())
		row := certify(serial, "", PIN)
		row.Who, row.Status, row.Has = InspectorAtStand, http.StatusConflict, []string{`"no_signing_key"`, "no certificate goes out unsigned"}
		s.App.Services.Release.SealBy(&worktest.Signer{})
		s.run(t, row)
		s.App.Services.Release.SealBy(worktest.NewSigner())
		row.Status, row.Has = http.StatusCreated, []string{`"C31-00001"`}
		s.run(t, row)
	})
}

// The certificates of a shipment and of a kit come as one file: in the order of
// their numbers, each paper as it is kept, the same bytes every time; what has
// none is left out.
func TestCertificatesOfAShipmentAsOneFile(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, services := t.Context(), s.App.Services
		product := s.kitOf(t)
		kit, err := s.Store.AddItemWithSerial(ctx, models.NewStamp(s.Shop.Owner, s.Now), models.Item{Kind: models.KindKit, FamilyID: &product.FamilyID, ProductID: &product.ID, Origin: "made"}, "K", 31, nil)
		s.Must(err)
		wheels := []models.Item{s.Item[models.KindWheel], s.AnotherWheel(), s.AnotherWheel()}
		for i, w := range wheels {
			sub := s.Extremes()
			sub.ID, sub.Serial = models.NewID(), *w.Serial
			s.MustRecord(sub)
			if i < 2 { // The third goes without one.
				_, err := services.Release.Issue(ctx, s.Shop.Owner, w.ID, "")
				s.Must(err)
			}
		}
		_, err = services.Release.Issue(ctx, s.Shop.Owner, wheels[0].ID, "a name")
		s.Must(err)
		// Packed and sent in another order than that of the numbers.
		for _, w := range []models.Item{wheels[1], wheels[2]} {
			_, err = services.Shipping.Pack(ctx, s.Shop.Owner, *kit.Serial, *w.Serial, "agreed by telephone")
			s.Must(err)
		}
		sent, err := services.Shipping.Ship(ctx, s.Shop.Owner, shipping.NewShipment{Items: []string{*kit.Serial, *wheels[0].Serial}, Reason: "the arms follow"})
		s.Must(err)
		first := "C31-00001-2_" + ident.Print(*wheels[0].Serial) + ".pdf"
		second := "C31-00002-1_" + ident.Print(*wheels[1].Serial) + ".pdf"
		var whole []byte
		holds := func(name, who, path, file string, want ...string) Row {
			return Row{Name: name, Who: who, Path: path, Status: http.StatusOK, Headers: map[string]string{"Content-Type": "application/zip", "Content-Disposition": "attachment; filename=" + file}, After: func(t *testing.T, _ http.Header, body []byte) {
				s.isZIP(t, body, want)
				if len(want) == 2 {
					if whole != nil && !bytes.Equal(whole, body) {
						t.Error("asked again, other bytes came")
					}
					whole = body
				}
			}}
		}
		s.Run(t, []Row{
			holds("of a shipment", Operator, "/shipments/"+sent.Number+"/certificates", "certificates-"+sent.Number+".zip", first, second),
			holds("by a program", Desk, "/api/v1/shipments/"+sent.Number+"/certificates", "certificates-"+sent.Number+".zip", first, second),
			holds("of a kit", Inspector, "/kits/"+*kit.Serial+"/certificates", "certificates-"+*kit.Serial+".zip", second),
			holds("of a kit, by a program", OperatorAtStand, "/api/v1/kits/"+ident.Print(*kit.Serial)+"/certificates", "certificates-"+*kit.Serial+".zip", second),
			{Name: "offered at the shipment", Who: Desk, Path: "/shipments/" + sent.Number, Status: http.StatusOK, Has: []string{`href="/shipments/` + sent.Number + `/certificates"`}},
			{Name: "offered at the kit", Who: Desk, Path: "/kits/" + *kit.Serial, Status: http.StatusOK, Has: []string{`href="/kits/` + *kit.Serial + `/certificates"`}},
			{Name: "to nobody else", Who: Nobody, Path: "/api/v1/shipments/" + sent.Number + "/certificates", Status: http.StatusUnauthorized},
			{Name: "of no shipment", Who: Desk, Path: "/api/v1/shipments/S31-99999/certificates", Status: http.StatusNotFound},
			{Name: "the second is void", Who: InspectorAtStand, Path: "/api/v1/certificates/C31-00002/1/void", Body: object{"reason": "wrong rim named", "confirm": object{"pin": PIN}}, Status: http.StatusOK},
			{Name: "and nothing else in the kit has one", Who: Desk, Path: "/api/v1/kits/" + *kit.Serial + "/certificates", Status: http.StatusNotFound, Has: []string{`"no_certificates"`}},
		})
	})
}

// isZIP wants these files in this order, each the paper that the API hands out.
func (s *Shop) isZIP(t *testing.T, body []byte, want []string) {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(body), int64(len(body)))
	s.Must(err)
	var names []string
	for _, f := range archive.File {
		names = append(names, f.Name)
		r, err := f.Open()
		s.Must(err)
		inside, err := io.ReadAll(r) // checks the sum as well
		s.Must(err)
		number, revision := f.Name[:9], f.Name[10:11]
		_, _, paper := s.Do(t, Row{Who: Desk, Path: "/api/v1/certificates/" + number + "/" + revision + "/paper"})
		if !bytes.Equal(inside, paper) || !bytes.HasPrefix(inside, []byte("%PDF-")) {
			t.Errorf("%s is not the paper as it is kept", f.Name)
		}
		issued, err := s.Store.CertificateByNumber(t.Context(), number, int(revision[0]-'0'))
		s.Must(err)
		if !f.Modified.Equal(issued.IssuedAt.Truncate(time.Second)) {
			t.Errorf("%s is of %v, its certificate of %v", f.Name, f.Modified, issued.IssuedAt)
		}
	}
	if !slices.Equal(names, want) {
		t.Errorf("files %v, want %v", names, want)
	}
}

// A log that is not sealed in time does not stop a release; the paper says so.
func TestAPaperThatWaitsForItsSealSaysSo(t *testing.T) {
	s := On(t, openSQLite(t))
	s.App.Services.Release.SealBy(unsealed{worktest.NewSigner()})
	s.certified(t, "")
	_, _, pdf := s.Do(t, Row{Who: Desk, Path: "/api/v1/certificates/C31-00001/1/paper"})
	if text := pdftest.Text(t, pdf); !strings.Contains(text, "waiting for seal") || !strings.Contains(text, "6 log entries sealed") {
		t.Errorf("the paper says %s", text)
	}
}

// unsealed is a log whose newest checkpoint lies behind.
type unsealed struct{ *worktest.Signer }

func (u unsealed) Seal(ctx context.Context) (models.SealedLog, error) {
	log, err := u.Signer.Seal(ctx)
	log.Waiting = true
	return log, err
}

// Strangers are told in the language of the paper that they hold, and asked in
// the shop's.
func TestThePublicPageSpeaksTheLanguageOfThePaper(t *testing.T) {
	s := On(t, openSQLite(t))
	s.Must(s.App.Services.Shop.Set(t.Context(), s.Shop.Owner, shop.Settings{Name: "Speichenhof", TimeZone: "UTC", PublicAddress: publicAddress, PaperLanguage: "de"}))
	german := s.certified(t, publicAddress)
	english, err := s.App.Services.Release.IssueAs(t.Context(), s.Shop.Owner, s.Item[models.KindWheel].ID, release.CertificateRequest{Reason: "for abroad", Language: "en"})
	s.Must(err)
	var content models.CertificateContent
	s.Must(json.Unmarshal([]byte(english.Content), &content))
	s.Run(t, []Row{
		{Name: "German", Public: true, Path: "/" + german.Token(), Status: http.StatusOK, Has: []string{`<html lang="de">`, "Prüfbescheinigung", "Ersetzt durch Revision 2 am 12.05.2031", "Laufrad: alle gemessenen Grenzwerte eingehalten.", "Seitenschlag, Gesamtausschlag", "Bestanden", "Nach einfacher Annahme"}},
		{Name: "English", Public: true, Path: "/" + content.Token(), Status: http.StatusOK, Has: []string{`<html lang="en">`, "Inspection certificate", "In force", "Lateral run-out, full reading"}},
		{Name: "asked", Public: true, Path: "/", Status: http.StatusOK, Has: []string{`<html lang="de">`, "Eine Prüfbescheinigung nachschlagen"}},
	})
}
