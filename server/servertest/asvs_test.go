package servertest

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The requirements of OWASP ASVS 5.0.0, levels 1 and 2, that were chosen for this
// program, by their numbers. A range is written 3.4.1-6.
const asvsChosen = `1.2.1-5 1.3.11 1.5.2 2.1.1-3 2.2.1-3 2.3.1-3 2.4.1 3.2.1-2 3.3.1-4 3.4.1-6 3.5.1-3 4.1.1 5.1.1 5.2.1-2 5.3.1-2 5.4.1-2
6.1.1 6.2.1-12 6.3.1-4 6.4.1-3 7.1.1-2 7.2.1-4 7.3.1-2 7.4.1-5 7.5.1 8.1.1-2 8.2.1-3 8.3.1 11.1.1-2 11.2.1-3 11.4.1-4 11.5.1 11.6.1
12.1.1 12.2.1 12.3.1-4 13.2.1-5 13.3.1-2 13.4.1-5 14.1.1-2 14.2.1-4 14.3.1-3 15.1.1-2 15.2.2 15.3.1 15.3.3 15.3.5-7
16.1.1 16.2.1-5 16.3.1-4 16.4.1-3 16.5.1-3`

// asvs says of each number, one a line, by what it is held: names of tests of this
// repository; "doc" and a heading of SECURITY.md where a text is asked for; "not:"
// with a reason where nothing shows it, or not all of it.
const asvs = `
1.2.1 output by its context: TestASVS_1_2_1_WhatIsTypedIsShownAsText TestASVS_1_2_1_TheSignsThatAreLookedFor TestFloorPageEscapes
1.2.2 addresses: TestASVS_1_2_2_AddressesHaveNoSchemeThatRuns TestLocalPath
1.2.3 script and JSON: TestASVS_3_4_3_NoPageNeedsInlineCode TestASVS_4_1_1_EveryBodyHasItsType
1.2.4 queries have parameters: TestStrangeKeysAreNoFaultOfTheServer TestStrangeQueriesAreNoFaultOfTheServer
1.2.5 commands: TestASVS_1_2_5_NoRequestStartsAProgram
1.3.11 mail: TestASVS_13_2_4_NoRequestReachesOut not: no mail is sent
1.5.2 decoding what is not trusted: TestBodiesThatAreRefused TestDecodeJSON
2.1.1 rules for input written down: doc Input
2.1.2 rules for several values together: doc Input
2.1.3 limits written down: doc Input
2.2.1 input is validated: TestReadingsThatAreRefused TestEveryBadFieldIsNamedAtOnce
2.2.2 on the server: TestReadingsThatAreRefused TestBodiesThatAreRefused
2.2.3 values that belong together: TestReadingsThatAreRefused TestStrangeClocks
2.3.1 order of steps: TestASVS_2_3_1_NoStepIsLeftOut TestFromAFailedWheelToACertificate
2.3.2 limits hold: TestASVS_2_4_1_StrangersAreSlowedDown TestPapersOfALot
2.3.3 all or nothing: TestOneInspectionFromManyHands TestKillWhilePosting TestReplayedRequests
2.4.1 many requests: TestASVS_2_4_1_StrangersAreSlowedDown TestSignInTriesAreLimited TestTooManyQuestions TestARushWaitsAndIsThenSentAway
3.2.1 answers in their context: TestASVS_3_2_1_AFileIsNoPage TestASVS_3_4_4_NoSniffing
3.2.2 text as text: TestASVS_3_2_2_TextIsPutInAsText
3.3.1 Secure: TestASVS_3_3_1_to_3_3_4_Cookies TestCookies
3.3.2 SameSite: TestASVS_3_3_1_to_3_3_4_Cookies TestCookies
3.3.3 __Host-: TestASVS_3_3_1_to_3_3_4_Cookies TestCookies
3.3.4 HttpOnly: TestASVS_3_3_1_to_3_3_4_Cookies TestCookies
3.4.1 HSTS: TestASVS_3_4_1_StrictTransportSecurity not: with the authority of this host it is left out, since a browser would be kept out for a year when that is given up
3.4.2 no CORS: TestASVS_3_4_2_NoOtherSiteReadsAnswers
3.4.3 content policy: TestASVS_3_4_3_ContentSecurityPolicy TestASVS_3_4_3_NoPageNeedsInlineCode TestWhatBrowsersAreToldAboutAPage
3.4.4 nosniff: TestASVS_3_4_4_NoSniffing
3.4.5 referrer: TestASVS_3_4_5_ReferrerPolicy
3.4.6 frames: TestASVS_3_4_6_NobodyFramesAPage
3.5.1 other sites: TestASVS_3_5_1_to_3_5_2_NoOtherSiteChangesAnything TestSameOrigin
3.5.2 without a question beforehand: TestASVS_3_5_1_to_3_5_2_NoOtherSiteChangesAnything
3.5.3 methods: TestASVS_3_5_3_LookingChangesNothing
4.1.1 types of bodies: TestASVS_4_1_1_EveryBodyHasItsType
5.1.1 files written down: doc Files
5.2.1 size of files: TestPapersOfALot TestLargeBodiesAreNotRead
5.2.2 type of files: TestAFileIsWhatItsBytesAre TestASVS_3_2_1_AFileIsNoPage not: the ending of a name is not compared but replaced by that of the content
5.3.1 nothing sent in is run: TestASVS_1_2_5_NoRequestStartsAProgram TestPapersOfALot
5.3.2 paths: TestNoStaticFileOutsideTheEmbeddedOnes TestRequestsAreTakenByTheLetter
5.4.1 names of files: TestPapersAreKeptOnce TestPapersOfALot
5.4.2 names in headers: TestPapersAreKeptOnce TestPapersOfALot
6.1.1 guesses written down: doc Passwords, PINs and sessions
6.2.1 length: TestPasswords
6.2.2 one's own password: TestASVS_7_5_1_SecretsAskForTheSecret TestWhoMaySetSecrets
6.2.3 the old one is asked for: TestASVS_7_5_1_SecretsAskForTheSecret
6.2.4 common ones: TestPasswords TestTheFirstThreeThousandAreRefused not: of a public list of 49,233 there are 308 as long as ours must be, and not 3000: those are refused, and the first 3000 made longer
6.2.5 any characters: TestPasswords
6.2.6 hidden fields: TestASVS_6_2_6_to_6_2_7_PasswordFields
6.2.7 pasting: TestASVS_6_2_6_to_6_2_7_PasswordFields
6.2.8 as typed: TestASVS_6_2_8_to_6_2_9_PasswordsCountAsTyped TestPasswordsAreNormalised
6.2.9 long ones: TestASVS_6_2_8_to_6_2_9_PasswordsCountAsTyped
6.2.10 none expires: doc Passwords, PINs and sessions
6.2.11 words of the trade: TestPasswords doc Passwords, PINs and sessions
6.2.12 leaked ones: not: the list is too large for a program that asks nobody outside; length, common words and those of the public list that are long enough stand in for it
6.3.1 guesses: TestSignInTriesAreLimited TestOneAddressMayNotTryEveryLogin TestASVS6_3_1_TheDelayOfAPINGrowsAndOutlivesARestart TestPINTriesCountForThePersonAndForTheTablet TestGuessesAtACodeCountForTheAddressAndForThePerson TestWhoGuessesAtACodeHoldsNobodyUpElsewhere TestASVS_6_3_1_ARefusalTellsNothing
6.3.2 no accounts from the start: TestASVS_6_3_2_NobodyIsThereFromTheStart TestTheFirstOwner
6.3.3 two factors: TestASVS6_3_3_TheShopMayAskDeskAndOwnerForOne TestASVS6_3_3_APasswordAloneOpensNothingWhereASecondSecretIsSet TestOneTapAtAnEnrolledDevice TestWhatIsTheOwnersOrAnotherPersonsAsksForThePIN TestWhereOneIsDemandedASecondSecretIsReplaced TestPrograms doc Passwords, PINs and sessions
6.3.4 no other way in: TestPublicRoutes TestEveryRouteHoldsItsAct
6.4.1 first passwords: TestPasswordLinks TestTheFirstOwnerComesInOnce
6.4.2 no hints: TestPublicRoutes doc Passwords, PINs and sessions
6.4.3 forgotten passwords: TestPasswordLinks TestWhoMayMakeALink
7.1.1 times written down: doc Passwords, PINs and sessions
7.1.2 how many sessions: doc Passwords, PINs and sessions
7.2.1 tokens are checked here: TestSigningInRenewsTheToken TestEveryRouteHoldsItsAct
7.2.2 tokens are made anew: TestSigningInRenewsTheToken TestAGaugesKeyIsNoTablet not: a tablet's or gauge's key is long-lived, revocable, and never a person by itself
7.2.3 random tokens: TestASVS_7_2_3_TokensAreRandom
7.2.4 a new token: TestSigningInRenewsTheToken TestConfirmingRenewsTheToken
7.3.1 idleness: TestIdleness TestASessionEnds
7.3.2 in any case: TestSessionsEndInAnyCase
7.4.1 after signing out: TestSignOutEndsTheSessionInTheStore TestEveryRouteHoldsItsAct
7.4.2 who left: TestARevokedDeviceAndAPersonWhoLeftAreNobodyAtOnce TestEveryRouteHoldsItsAct
7.4.3 other sessions: TestASVS7_5_2_WhoMayEndWhichSession TestANewPasswordChangesTheMark TestAnotherRoleEndsTheSessionAtATablet TestASessionEnds
7.4.4 a way out: TestASVS_7_4_4_EveryPageHasAWayOut
7.4.5 an owner ends sessions: TestASVS7_5_2_WhoMayEndWhichSession TestARevokedDeviceAndAPersonWhoLeftAreNobodyAtOnce
7.5.1 the secret again: TestASVS_7_5_1_SecretsAskForTheSecret TestConfirming
8.1.1 who may do what: doc Who may do what
8.1.2 which fields: doc Who may do what
8.2.1 every function: TestEveryRouteHoldsItsAct TestEveryRouteWithEveryRole
8.2.2 every record: TestAGaugeSpeaksToItsOwnStand TestNoCustomersAtATablet TestStrangersReachNothingElse
8.2.3 every field: TestStrangersSeeNoReadingsPartsOrPeople TestASVS_15_3_3_FieldsThatAreNotAskedForDoNothing
8.3.1 on the server: TestEveryRouteHoldsItsAct
11.1.1 keys written down: doc Keys and methods
11.1.2 methods written down: doc Keys and methods
11.2.1 known libraries: doc Keys and methods TestImportsPointDown
11.2.2 another method beside it: TestAnOlderHashIsMadeAnew TestForeignHashesAreRefused doc Keys and methods
11.2.3 at least 128 bits: TestASVS_7_2_3_TokensAreRandom doc Keys and methods
11.4.1 hashes: TestEntryHashCases doc Keys and methods
11.4.2 passwords: TestHashesOfTheReferenceImplementationVerify TestHashIsSaltedAndCarriesItsCost
11.4.3 hashes that are signed: TestEntryHashCases doc Keys and methods
11.4.4 keys from passwords: not: no key is made of a password
11.5.1 chance: TestASVS_7_2_3_TokensAreRandom
11.6.1 keys and signatures: TestWhatIsMade doc Keys and methods
12.1.1 versions of TLS: TestASVS_12_1_1_OnlyTLS12And13
12.2.1 TLS: TestBothAtOnePort TestOwnFilesInsistOnTLS TestASVS_12_2_1_ALinkBehindAProxyIsSecure not: this machine alone is answered without, and a network with a warning
12.3.1 TLS to others: not: the database's address says whether it speaks TLS; nothing else is spoken to
12.3.2 certificates of others: not: the database's address says how its certificate is checked (sslmode)
12.3.3 TLS inside: not: there is one program
12.3.4 certificates inside: not: there is one program
13.2.1 between parts: not: there is one program; the database's user and password stand in its address
13.2.2 least rights: doc Connections
13.2.3 no usual passwords: TestASVS_6_3_2_NobodyIsThereFromTheStart
13.2.4 whom the program speaks to: TestASVS_13_2_4_NoRequestReachesOut
13.2.5 whom the server speaks to: TestASVS_13_2_4_NoRequestReachesOut doc Connections
13.3.1 secrets: TestKeysAreReadByTheirOwnerOnly doc Keys and methods
13.3.2 who reads secrets: TestKeysAreReadByTheirOwnerOnly doc Keys and methods
13.4.1 no source: TestASVS_13_4_1_to_13_4_5_NothingOfTheInsideIsShown
13.4.2 no debugging: TestASVS_13_4_1_to_13_4_5_NothingOfTheInsideIsShown
13.4.3 no lists of folders: TestASVS_13_4_1_to_13_4_5_NothingOfTheInsideIsShown
13.4.4 TRACE: TestRequestsAreTakenByTheLetter
13.4.5 documents and watching: TestPublicRoutes TestASVS_13_4_1_to_13_4_5_NothingOfTheInsideIsShown not: the description of the interface is open on purpose, as the program is
14.1.1 classes: doc What is kept, and how long
14.1.2 what each needs: doc What is kept, and how long
14.2.1 no secrets in addresses: TestASVS_14_2_1_NoSecretInAnAddress TestASVS_15_3_7_FieldsHaveOneSource not: one-time links and a certificate's code are addresses by purpose
14.2.2 no caches between: TestASVS_14_3_2_NothingOfTheShopIsCached
14.2.3 nobody else: TestASVS_3_4_3_ContentSecurityPolicy TestASVS_13_2_4_NoRequestReachesOut
14.2.4 handled as written: TestNoCustomersAtATablet TestAClaimAtATablet TestAPhotoOfAClaimIsErased TestAPhotoSaysNothingBesideItsPicture TestCustomersByAProgram
14.3.1 after signing out: TestASVS_14_3_2_NothingOfTheShopIsCached not: readings that wait at a tablet outlive the session on purpose
14.3.2 not kept by browsers: TestASVS_14_3_2_NothingOfTheShopIsCached
14.3.3 nothing sensitive in browsers: TestASVS_14_3_3_NothingSensitiveStaysInABrowser TestASVS_14_3_3_WhatABrowserKeeps
15.1.1 times to mend: doc Libraries
15.1.2 list of libraries: doc Libraries
15.2.2 what takes long: TestARushWaitsAndIsThenSentAway TestStrangersWhoHoldOn TestStrangersDoNotKeepTheShopWaiting TestLargeBodiesAreNotRead
15.3.1 only what is needed: TestStrangersSeeNoReadingsPartsOrPeople TestRealAnswersFitTheDescription
15.3.3 no more fields: TestASVS_15_3_3_FieldsThatAreNotAskedForDoNothing TestBodiesThatAreRefused
15.3.5 types: TestBodiesThatAreRefused TestDecodeJSON
15.3.6 prototypes in browsers: not: no module takes names from outside as names of an object's fields but by JSON.parse into objects that are read by fixed names
15.3.7 where a field comes from: TestASVS_15_3_7_FieldsHaveOneSource TestRequestsAreTakenByTheLetter
16.1.1 logs written down: doc Logs
16.2.1 who, what, when: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.2.2 time: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.2.3 where logs go: doc Logs
16.2.4 a form that programs read: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.2.5 no secrets in logs: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown TestARegisterThatFails
16.3.1 who came in: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.3.2 who was refused: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.3.3 what was tried: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.3.4 faults: TestAPanicIsAnAnswerToo TestErrorsBecomeAnswers
16.4.1 no lines of others' making: TestASVS_16_3_1_to_16_4_1_WhatIsWrittenDown
16.4.2 logs are guarded: not: they go to standard error, and are the host's; what changed in records is sealed (TestEveryChangeLeavesItsTrail)
16.4.3 logs elsewhere: not: the host's setting; checkpoints of the sealed log go elsewhere by --checkpoints
16.5.1 faults tell nothing: TestErrorsBecomeAnswers TestAPanicIsAnAnswerToo
16.5.2 goes on: TestARegisterThatFails TestTroubleWithTheSealIsTold
16.5.3 fails closed: TestNothingIsIssuedUnsigned TestAPanicIsAnAnswerToo
`

// Every chosen number has its line, and every line names tests that are there and
// headings that are there.
func TestASVSEveryNumberHasItsLine(t *testing.T) {
	tests, documented := testNames(t), headings(t, "../SECURITY.md")
	lines := map[string]string{}
	for line := range strings.Lines(strings.TrimSpace(asvs)) {
		number, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if lines[number] != "" {
			t.Errorf("%s has two lines", number)
		}
		lines[number] = rest
	}
	for _, number := range numbered(t, asvsChosen) {
		line, found := lines[number]
		delete(lines, number)
		_, held, _ := strings.Cut(line, ": ")
		held, why, _ := strings.Cut(held, "not: ")
		held, doc, _ := strings.Cut(held, "doc ")
		names := strings.Fields(held)
		if rest := regexp.MustCompile(`Test\w+`).FindAllString(doc, -1); len(rest) > 0 {
			names, doc = append(names, rest...), strings.TrimSpace(doc[:strings.Index(doc, rest[0])])
		}
		if !found || len(names) == 0 && doc == "" && why == "" {
			t.Errorf("%s: neither a test nor a text nor a reason: %q", number, line)
		}
		for _, name := range names {
			if !tests[name] {
				t.Errorf("%s: there is no test %s", number, name)
			}
		}
		if doc = strings.TrimSpace(doc); doc != "" && !documented[doc] {
			t.Errorf("%s: SECURITY.md has no heading %q", number, doc)
		}
	}
	for number := range lines {
		t.Errorf("%s was not chosen", number)
	}
	// And a test that carries a number holds one that was chosen.
	for name := range tests {
		if m := regexp.MustCompile(`^TestASVS_(\d+)_(\d+)_(\d+)`).FindStringSubmatch(name); m != nil {
			if number := strings.Join(m[1:], "."); !strings.Contains(asvs, "\n"+number+" ") || !strings.Contains(asvs, name) {
				t.Errorf("%s stands in no line", name)
			}
		}
	}
}

// numbered spells ranges out.
func numbered(t *testing.T, list string) []string {
	t.Helper()
	var all []string
	for _, word := range strings.Fields(list) {
		first, last, isRange := strings.Cut(word, "-")
		if !isRange {
			all = append(all, word)
			continue
		}
		var a, b, from, to int
		if n, err := fmt.Sscanf(first+"-"+last, "%d.%d.%d-%d", &a, &b, &from, &to); n != 4 || err != nil {
			t.Fatalf("%s: %v", word, err)
		}
		for ; from <= to; from++ {
			all = append(all, fmt.Sprintf("%d.%d.%d", a, b, from))
		}
	}
	return all
}

func testNames(t *testing.T) map[string]bool {
	t.Helper()
	names := map[string]bool{}
	in := regexp.MustCompile(`(?m)^func (Test\w+)\(t \*testing\.T\)`)
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		raw, err := os.ReadFile(path)
		for _, m := range in.FindAllSubmatch(raw, -1) {
			names[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func headings(t *testing.T, file string) map[string]bool {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^#+ (.+)$`).FindAllSubmatch(raw, -1) {
		all[string(m[1])] = true
	}
	return all
}
