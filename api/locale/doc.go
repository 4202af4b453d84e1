// Package locale says in another language what the program says in English.
//
// English is the language in which the program thinks: templates, reasons, questions
// and cautions are written in it, the API answers in it, and it is the key of every
// catalogue of messages. A page or a sheet is made in English and said in the
// language of whoever reads it, text by text, as the last thing before it is sent
// (Page, Say). So nobody who adds a sentence has to know of this package, and a
// sentence that no catalogue has stays English, whole: no half of one is translated.
//
// A catalogue is a folder of YAML files, English to the other language. A key is a
// form: a sentence with holes, by which a sentence is recognised and its parts are
// taken over.
//
//	{part}    a name or the like, kept as it is: no clause or sentence
//	{*reason} any text, kept
//	{n}       a whole number; also {n1}, {n2} …
//	{#ohms}   an amount or a date: anything without a letter
//	{:reason} a sentence or phrase that must have a form of its own
//	{?text}   one that is said where it has a form, and else kept
//	{~text}   one that is said where it has a form, and else any text
//	{,names}  a list such as "a, b and c", each part like {?text}
//
// The other language names the same holes without these signs. A sentence with a
// capital or a full stop more than its form is the same sentence.
//
// What is recorded in the catalogue of boards (names, circuits, options, steps of
// procedures) is data: it is shown as it was recorded.
package locale
