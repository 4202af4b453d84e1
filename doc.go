// Package standin answers which control board from stock can stand in for a
// dead one, with which code it is configured, and by which pattern that is
// verified. It is the pure core: no input or output, no clock, no state.
//
// The words are those of the trade, one word for one thing. A board is an
// orderable spare; it belongs to a family, which shares a selector, a code
// length, a procedure and a read-back, or to none (a fixed board). A model has
// builds, spans of production that follow each other at cut-ins, each with a
// factory board, a harness and options it needs. A layout is a set of
// connectors: the plugs of a harness, the headers of a board revision. A
// configuration says which code and pattern make boards of a family serve a
// model. A dossier is all that bears on one model; a machine is one individual
// appliance with what evidence there is of its build. A machine may have several
// boards, each at its position; builds, loads and boards say which they are about.
//
// Every check has three outcomes, and unknown never becomes a pass.
//
// The files, in the order in which to read them, and what each answers.
//
// What is known, asked and answered:
//
//	catalogue.go   what is recorded: models, builds, boards, connectors, codes
//	machine.go     what is known of one machine: the evidence of its build
//	answer.go      what is answered: candidates, checks, questions
//	maybe.go       a value that may not be recorded
//	date.go        days and spans of days, and the forms they are typed in
//	modelkey.go    the key of a model as one word
//	number.go      numbers on labels: what leads to a board, is it a GTIN?
//	supply.go      volts and hertz as a rating plate has them
//	near.go        which name was probably meant? Characters mistaken for each other
//	near_letters.go which letters of other alphabets look like Latin ones?
//	words.go       lists, figures and counts for people
//	words_stock.go how stock is said at the counter
//
// Fit, which decides by a dossier alone:
//
//	fit.go           the way of a question; one verdict per candidate; the order
//	fit_builds.go    rule 1: which builds does the evidence leave?
//	fit_positions.go which board of the machine is it about?
//	fit_hint.go      what would resolve evidence that contradicts itself?
//	fit_serial.go    when was a machine with this serial made?
//	fit_chain.go     rule 2: which parts supersede the factory board?
//	fit_checks.go    rule 3: the checks: options, supply
//	fit_ratings.go   does a circuit draw more than the board may switch?
//	fit_code.go      rule 4: which code applies, and why is it unknown?
//	fit_plugs.go     rule 5: when does a plug seat on a header?
//	fit_adaptors.go  with which adaptors does a harness seat on a board?
//	fit_chained.go   what may adaptors be joined to among themselves?
//	fit_connect.go   which plug goes where?
//	fit_seatings.go  which seatings are known from questions before?
//	fit_matching.go  can each plug be given a header of its own?
//	fit_question.go  rule 6: which question settles it?
//	fit_worth.go     what is a question worth, and need it be asked?
//	fit_stock.go     where are a board and its adaptors to be had?
//	fit_before.go    rule 7: what is checked before a board is fitted?
//	killed.go        which load took the board along, and is a resistance good?
//	fit_cautions.go  what is cautioned against, for which kinds of appliance?
//
// Readings of a board, compared with the patterns of its family:
//
//	reading.go               what was seen, and the forms it is typed in
//	reading_pattern.go       what must be seen, and is a code the family's?
//	reading_alphabet.go      what may a point show that is no lamp?
//	reading_method.go        how people speak of switches, jumpers and the like
//	reading_resistor.go      a code that is a resistor's value
//	reading_table.go         the configurations of a family, made ready
//	reading_verify.go        does a reading tally?
//	reading_trial.go         what separates codes that are not excluded?
//	reading_compare.go       with which code and pattern is it compared?
//	reading_diagnose.go      how may a reading that does not tally have come about?
//	reading_stories.go       the slips considered, what they cost, how they are put
//	reading_identify.go      what may a board be set for? Over a family, or over all
//	reading_trust.go         how far can a pattern be trusted?
//	reading_codemap.go       which places of the code does each point show?
//	reading_dependency.go    which columns of a table determine which others?
//	reading_misprint.go      which configurations are likely misprinted?
//	reading_proofread.go     how misprints are found, one after the other
//	reading_belief.go        how likely is what a point shows, by the other rows?
//
// What adapters are given, and give:
//
//	ask.go        the one way of the main question
//	job.go        one board to be fitted in one machine
//	job_proof.go  what proves the setting, and how it is set
//	job_after.go  which limits are kept after repair?
//	store.go      what is asked of a database
//	seen.go       what a client has seen, where several servers may answer
//	bundle.go     the format of the bulk import
//	intake.go     bundles that are sent to be checked or imported in the background
//	lists.go      what is recorded, in pages
//	measure.go    figures of the service for whoever runs it
//	errors.go     the errors that people read
//
// What happens in a shop:
//
//	stock.go      the lines of stock and their moves
//	hold.go       pieces kept for somebody until a time
//	fitting.go    what became of a board that was fitted
//	feed.go       what has changed, in the order it was committed
//	token.go      who may do what
package standin
