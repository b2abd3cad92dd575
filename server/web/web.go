package web

import (
	"net/http"

	"tracewright/models"
	"tracewright/server/httpx"
)

// A line of the table. Written out in each of its lines, as the compiler would do,
// the two made a hundred kilobytes of it.

//go:noinline
func get(path string, act models.Act, h httpx.Handler) httpx.Route {
	return httpx.Route{Method: http.MethodGet, Path: path, Act: act, Handler: h}
}

//go:noinline
func post(path string, act models.Act, h httpx.Handler) httpx.Route {
	return httpx.Route{Method: http.MethodPost, Path: path, Act: act, Handler: h}
}

// Routes is the table of every page and form, with the act that each needs.
func Routes(services httpx.Services) []httpx.Route {
	s := &site{services: services}
	routes := []httpx.Route{
		get("/static/:hash/*name", httpx.Public, serveAsset),

		get("/signin", httpx.Public, s.signInPage),
		post("/signin", httpx.Public, s.signIn),
		post("/signout", httpx.Public, s.signOut),
		get("/setup/:token", httpx.Public, s.setupPage),
		post("/setup/:token", httpx.Public, s.setup),
		get("/own", models.ActLook, s.own),
		post("/own", models.ActOwnSecrets, s.setOwn),

		get("/", models.ActLook, s.today),
		get("/find", models.ActLook, s.find),
		post("/drafts/:id/take-over", models.ActRecord, s.takeOver),
		get("/drafts/:id/set-aside", models.ActRecord, s.setAsidePage),
		post("/drafts/:id/set-aside", models.ActRecord, s.setAside),
		get("/inspections/:id/move", models.ActRecord, s.movePage),
		post("/inspections/:id/move", models.ActRecord, s.move),
		get("/unplaced", models.ActLook, s.unplaced),
		post("/unplaced/:id", models.ActPlace, s.settle),

		get("/items/:serial", models.ActLook, s.item),
		get("/items/:serial/release", models.ActRelease, s.releasePage),
		post("/items/:serial/release", models.ActRelease, s.release),
		get("/items/:serial/hold", models.ActRaiseHold, s.holdPage),
		post("/items/:serial/hold", models.ActRaiseHold, s.hold),
		get("/items/:serial/place", models.ActRecord, s.placePage),
		post("/items/:serial/place", models.ActRecord, s.place),
		post("/items/:serial/steps", models.ActRecord, s.tickStep),
		post("/items/:serial/charges", models.ActRecord, s.chargeItem),
		get("/items/:serial/capacity/new", models.ActRecord, s.newCapacityTest),
		post("/items/:serial/capacity/new", models.ActRecord, s.addCapacityTest),
		get("/items/:serial/capacity/:id", models.ActLook, s.capacityTest),
		get("/families/:id/steps", models.ActSpecify, s.buildStepsPage),
		post("/families/:id/steps", models.ActSpecify, s.reviseBuildSteps),
		get("/shelf", models.ActLook, s.shelf),
		post("/shelf/charge", models.ActRecord, s.chargeOne),
		get("/shelf/charge-all", models.ActRecord, s.chargeAllPage),
		post("/shelf/charge-all", models.ActRecord, s.chargeAll),
		get("/shelf/temperature", models.ActRecord, s.shelfTemperaturePage),
		post("/shelf/temperature", models.ActRecord, s.addShelfTemperature),
		get("/charges/:id/end", models.ActRecord, s.endChargePage),
		post("/charges/:id/end", models.ActRecord, s.endCharge),
		get("/blocks", models.ActLook, s.blocks),
		get("/blocks/lots/:lot", models.ActLook, s.blockLot),
		get("/blocks/set-aside", models.ActRecord, s.setBlocksAsidePage),
		post("/blocks/set-aside", models.ActRecord, s.setBlocksAside),
		get("/blocks/release", models.ActLiftHold, s.releaseBlocksPage),
		post("/blocks/release", models.ActLiftHold, s.releaseBlocks),
		get("/match", models.ActRecord, s.matchAsk),
		post("/match", models.ActRecord, s.propose),
		get("/match/pick", models.ActRecord, s.matchPick),
		post("/match/pick", models.ActRecord, s.pickMatch),
		get("/match/:id", models.ActLook, s.match),
		post("/match/:id/place", models.ActRecord, s.placeInMatch),
		post("/match/:id/keep", models.ActRecord, s.keepMatch),
		get("/match/:id/drop", models.ActRecord, s.dropMatchPage),
		post("/match/:id/drop", models.ActRecord, s.dropMatch),
		get("/holds", models.ActLook, s.holds),
		get("/holds/:id/lift", models.ActLiftHold, s.liftPage),
		post("/holds/:id/lift", models.ActLiftHold, s.lift),
		get("/certificates/:number/:revision", models.ActLook, s.certificate),
		get("/certificates/:number/:revision/original", models.ActLook, s.originalPaper),
		get("/certificates/:number/:revision/void", models.ActVoid, s.voidPage),
		post("/certificates/:number/:revision/void", models.ActVoid, s.void),

		post("/certificates/:number/:revision/print", models.ActPrint, s.printCertificate),

		get("/families", models.ActLook, s.families),
		get("/families/new", models.ActSpecify, s.newFamily),
		post("/families/new", models.ActSpecify, s.addFamily),
		get("/families/:id", models.ActLook, s.family),
		get("/families/:id/products/new", models.ActSpecify, s.newProduct),
		post("/families/:id/products/new", models.ActSpecify, s.addProduct),
		get("/families/:id/specification", models.ActSpecify, s.reviseSpecificationPage),
		post("/families/:id/specification", models.ActSpecify, s.reviseSpecification),
		get("/products/:id", models.ActLook, s.product),
		get("/products/:id/revise", models.ActSpecify, s.reviseProductPage),
		post("/products/:id/revise", models.ActSpecify, s.reviseProduct),
		get("/products/:id/specification", models.ActSpecify, s.reviseSpecificationPage),
		post("/products/:id/specification", models.ActSpecify, s.reviseSpecification),
		get("/specifications", models.ActLook, s.specifications),
		get("/specifications/:id", models.ActLook, s.specification),

		get("/instruments", models.ActLook, s.instruments),
		get("/instruments/new", models.ActCalibrate, s.newInstrument),
		post("/instruments/new", models.ActCalibrate, s.addInstrument),
		get("/instruments/:code", models.ActLook, s.instrument),
		post("/instruments/:code", models.ActCalibrate, s.changeInstrument),
		post("/instruments/:code/tables", models.ActCalibrate, s.addGaugeTable),
		post("/instruments/:code/out-note", models.ActConcede, s.judgeAnyway),
		get("/instruments/:code/calibrate", models.ActCalibrate, s.calibratePage),
		post("/instruments/:code/calibrate", models.ActCalibrate, s.calibrate),
		post("/instruments/:code/checks", models.ActCalibrate, s.addGaugeCheck),
		get("/instruments/:code/checks/:id", models.ActLook, s.gaugeCheck),
		post("/instruments/:code/checks/:id", models.ActRecord, s.enterCheck),
		post("/instruments/:code/checks/:id/end", models.ActCalibrate, s.endGaugeCheck),
		post("/instruments/:code/traces", models.ActCalibrate, s.traceGauge),
		get("/instruments/:code/traces/:id", models.ActLook, s.gaugeTrace),
		get("/instruments/:code/traces/:id/hold", models.ActRaiseHold, s.holdTracedPage),
		post("/instruments/:code/traces/:id/hold", models.ActRaiseHold, s.holdTraced),

		get("/lots", models.ActLook, s.lots),
		get("/lots/new", models.ActReceive, s.newLot),
		post("/lots/new", models.ActReceive, s.addLot),
		get("/lots/:code", models.ActLook, s.lot),
		get("/items/:serial/parts", models.ActRecord, s.partsPage),
		post("/items/:serial/parts", models.ActRecord, s.addParts),
		get("/items/:serial/parts/:fitted", models.ActRecord, s.takeOutPage),
		post("/items/:serial/parts/:fitted", models.ActRecord, s.takeOut),
		get("/recalls", models.ActLook, s.recalls),
		get("/recalls/new", models.ActRecall, s.newRecall),
		post("/recalls/new", models.ActRecall, s.makeRecall),
		get("/recalls/:number", models.ActLook, s.recall),
		get("/recalls/:number/contacts.csv", models.ActCustomers, s.recallContacts),
		post("/recalls/:number/again", models.ActRecall, s.runRecall),
		post("/recalls/:number/responses", models.ActShip, s.respondRecall),
		get("/recalls/:number/end", models.ActRecall, s.endRecallPage),
		post("/recalls/:number/end", models.ActRecall, s.endRecall),
		get("/in-work", models.ActLook, s.inWork),
		get("/kits", models.ActLook, s.kits),
		post("/kits", models.ActPack, s.newKit),
		get("/kits/:serial", models.ActLook, s.kit),
		get("/kits/:serial/certificates", models.ActLook, s.services.KitCertificates("serial")),
		post("/kits/:serial/items", models.ActPack, s.packKit),
		post("/kits/:serial/parts", models.ActPack, s.tickKit),
		get("/kits/:serial/out", models.ActPack, s.takeOutOfKitPage),
		post("/kits/:serial/out", models.ActPack, s.takeOutOfKit),
		get("/ship", models.ActShip, s.shipPage),
		post("/ship", models.ActShip, s.ship),
		get("/shipments", models.ActLook, s.shipments),
		get("/shipments/:number", models.ActLook, s.shipment),
		get("/shipments/:number/packing-list", models.ActLook, s.packingList),
		get("/shipments/:number/certificates", models.ActLook, s.services.ShipmentCertificates("number")),
		get("/shipments/:number/void", models.ActShip, s.voidShipmentPage),
		post("/shipments/:number/void", models.ActShip, s.voidShipment),
		get("/orders", models.ActLook, s.orders),
		get("/orders/new", models.ActShip, s.newOrder),
		post("/orders/new", models.ActShip, s.addOrder),
		get("/orders/end", models.ActShip, s.endOrderPage),
		post("/orders/end", models.ActShip, s.endOrder),
		get("/customers", models.ActCustomers, s.customers),
		get("/customers/new", models.ActCustomers, s.newCustomer),
		post("/customers/new", models.ActCustomers, s.addCustomer),
		get("/customers/:id", models.ActCustomers, s.customer),
		post("/customers/:id", models.ActCustomers, s.changeCustomer),
		get("/customers/:id/erase", models.ActCustomers, s.eraseCustomerPage),
		post("/customers/:id/erase", models.ActCustomers, s.eraseCustomer),
		get("/lace", models.ActRecord, s.lacePage),
		post("/lace", models.ActRecord, s.lace),
		get("/lots/:code/inspect", models.ActReceive, s.inspectLotPage),
		post("/lots/:code/inspect", models.ActReceive, s.inspectLot),
		get("/lots/:code/accept", models.ActReceive, s.decideLotPage(models.LotAccept)),
		post("/lots/:code/accept", models.ActReceive, s.decideLot(models.LotAccept)),
		get("/lots/:code/quarantine", models.ActReceive, s.decideLotPage(models.LotQuarantine)),
		post("/lots/:code/quarantine", models.ActReceive, s.decideLot(models.LotQuarantine)),
		get("/lots/:code/concession", models.ActLiftHold, s.decideLotPage(models.LotConcession)),
		post("/lots/:code/concession", models.ActLiftHold, s.decideLot(models.LotConcession)),
		get("/lots/:code/return", models.ActLiftHold, s.decideLotPage(models.LotReturn)),
		post("/lots/:code/return", models.ActLiftHold, s.decideLot(models.LotReturn)),
		get("/lots/:code/scrap", models.ActReceive, s.scrapLotPage),
		post("/lots/:code/scrap", models.ActReceive, s.scrapLot),
		get("/lots/:code/count", models.ActReceive, s.countLotPage),
		post("/lots/:code/count", models.ActReceive, s.countLot),
		get("/lots/:code/explain", models.ActReceive, s.explainLotPage),
		post("/lots/:code/explain", models.ActReceive, s.explainLot),
		get("/lots/:code/mix", models.ActReceive, s.mixLotPage),
		post("/lots/:code/mix", models.ActReceive, s.mixLot),
		get("/lots/:code/papers", models.ActReceive, s.lotPaperPage),
		{Method: http.MethodPost, Path: "/instruments/:code/calibrations/:id/papers", Act: models.ActCalibrate, Handler: s.addCalibrationPaper, File: true},
		{Method: http.MethodPost, Path: "/lots/:code/papers", Act: models.ActReceive, Handler: s.addLotPaper, File: true},
		get("/papers/:id", models.ActLook, s.paper),
		get("/materials", models.ActLook, s.materials),
		get("/materials/new", models.ActSpecify, s.newMaterial),
		post("/materials/new", models.ActSpecify, s.putMaterial),
		get("/materials/:code", models.ActSpecify, s.materialPage),
		post("/materials/:code", models.ActSpecify, s.putMaterial),
		get("/items/:serial/sources", models.ActLook, s.sources),
		get("/lots/:code/hold", models.ActRaiseHold, s.holdLotPage),
		post("/lots/:code/hold", models.ActRaiseHold, s.holdLot),
		get("/parts/new", models.ActReceive, s.newPart),
		post("/parts/new", models.ActReceive, s.addPart),
		post("/products/:id/items", models.ActRecord, s.makeItem),
		get("/rolls", models.ActLook, s.rolls),
		post("/rolls", models.ActReceive, s.addRoll),
		get("/rolls/:id/serials", models.ActLook, s.rollSerials),

		get("/lists", models.ActLook, s.listsPage),
		get("/lists/out", models.ActLook, s.writeList),

		get("/shop", models.ActManagePeople, s.shopPage),
		post("/shop", models.ActManagePeople, s.setShop),
		get("/changes", models.ActManagePeople, s.changes),
		get("/changes/out", models.ActManagePeople, s.exportChanges),
		get("/people", models.ActManagePeople, s.peoplePage),
		get("/people/new", models.ActManagePeople, s.newPerson),
		post("/people/new", models.ActManagePeople, s.addPerson),
		get("/people/:id", models.ActManagePeople, s.person),
		post("/people/:id", models.ActManagePeople, s.changePerson),
		post("/people/:id/password-link", models.ActManagePeople, s.passwordLink),
		post("/people/:id/pin", models.ActManagePeople, s.setPIN),
		get("/devices", models.ActManagePeople, s.devices),
		post("/devices", models.ActManagePeople, s.enrol),
		get("/devices/:id/revoke", models.ActManagePeople, s.revokePage),
		post("/devices/:id/revoke", models.ActManagePeople, s.revoke),
	}
	routes = append(routes, s.listRoutes()...)
	routes = append(routes, s.labelRoutes()...)
	routes = append(routes, s.claimRoutes()...)
	routes = append(routes, s.studyRoutes()...)
	routes = append(routes, s.checkListRoutes()...)
	routes = append(routes, s.nonconformityRoutes()...)
	routes = append(routes, s.correctiveRoutes()...)
	routes = append(routes, s.defectRoutes()...)
	routes = append(routes, s.chartRoutes()...)
	routes = append(routes, s.failureRoutes()...)
	routes = append(routes, s.differenceRoutes()...)
	routes = append(routes, s.howGoodRoutes()...)
	routes = append(routes, s.returnsRoutes()...)
	routes = append(routes, s.attentionRoutes()...)
	routes = append(routes, s.reviewRoutes()...)
	routes = append(routes, s.backupRoutes()...)
	routes = append(routes, s.accountRoutes()...)
	routes = append(routes, s.retentionRoutes()...)
	routes = append(routes, s.trustRoutes()...)
	routes = append(routes, s.floorSetupRoutes()...)
	routes = append(routes, s.floorRoutes()...)
	for i, r := range routes {
		if r.Method == http.MethodPost && r.Act != httpx.Public {
			routes[i].Handler = services.Sessions.Once(r.Handler)
		}
	}
	return routes
}
