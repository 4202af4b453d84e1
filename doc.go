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
// appliance with what evidence there is of its build.
//
// Every check has three outcomes, and unknown never becomes a pass.
//
// Read the files in this order:
//
//	catalogue.go machine.go answer.go   what is known, asked and answered
//	maybe.go date.go number.go          values that may not be recorded, days, numbers
//	fit.go                              the way of a question, verdicts, the order
//	builds.go serial.go                 rule 1: which builds the evidence leaves
//	chain.go                            rule 2: supersessions
//	checks.go configure.go              rules 3 and 4
//	connector.go seating.go loom.go matching.go   rule 5: plugs, headers, adaptors
//	group.go                            an answer in fewer words, for people
//	question.go                         rule 6: the question that settles it
//	precheck.go                         rule 7: before it is fitted, and cautions
//	pattern.go reading.go …             patterns and readings
//	prepared.go comparison.go verifyreading.go identifyreading.go weightrust.go   over a catalogue
//	job.go afterrepair.go               one board in one machine; limits after repair
//	bundle.go                           the format of the bulk import
//	gtin.go find.go                     numbers on labels, and what they lead to
//	store.go ask.go errors.go           what adapters are given and give
package standin
