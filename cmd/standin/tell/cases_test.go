package tell

import (
	"strings"

	"standin"
)

type answerCase struct {
	answer *standin.Answer
	detail Detail
}

// answerCases are answers of every verdict, kind of work and outcome.
func answerCases() map[string]answerCase {
	return map[string]answerCase{
		"fits":            {fitting(), Detail{}},
		"fits-why":        {fitting(), Detail{All: true, Why: true}},
		"check":           {checking(), Detail{}},
		"depends":         {depending(), Detail{}},
		"nothing-fits":    {nothingFits(), Detail{}},
		"nothing-all":     {nothingFits(), Detail{All: true, Why: true}},
		"nothing-known":   {sampleAnswer([]standin.Build{{}}), Detail{}},
		"contradiction":   {contradicted("made", "plug"), Detail{}},
		"contradiction-1": {contradicted("old_part"), Detail{}},
		"no-code":         {withoutCode(), Detail{}},
		"hostile":         {hostile(), Detail{All: true, Why: true}},
	}
}

func fitting() *standin.Answer {
	preset := standin.BuildAnswer{Build: "b1", Work: standin.AsPreset, Family: "QX", Checks: checks()}
	fixed := standin.BuildAnswer{Build: "b1", Work: standin.Fixed, Adaptors: []string{"LM-10", "LM-3"}, Checks: checks()}
	coded := configured3("b1", standin.Fits)
	coded.Adaptors = []string{"LM-10"}
	coded.Swappable = [][2]string{{"CN2", "CN5"}}
	a := sampleAnswer(sampleBuilds()[:1],
		standin.Candidate{
			PartNumber: "QX-4410-S", Revision: "C", Issue: standin.Known(3), Title: "Wash control, set for DW 640", Builds: []standin.BuildAnswer{preset},
			Stock: []standin.StockLine{
				{Location: "depot", Condition: "used", Free: 1},
				{Location: "front", Condition: "new", Free: 2, RevisionKnown: true},
				{Location: "front", Condition: "refurbished", RevisionKnown: true},
			},
		},
		standin.Candidate{
			PartNumber: "QX-4420", Revision: "D", Issue: standin.Known(4), Title: "Wash control with a dial", Distance: standin.Known(1),
			Builds: []standin.BuildAnswer{coded}, Stock: []standin.StockLine{{Location: "depot", Condition: "new", Free: 6, RevisionKnown: true}},
		},
		standin.Candidate{PartNumber: "FX-9", Revision: "1", Distance: standin.Known(0), Builds: []standin.BuildAnswer{fixed}},
		misfit("QX-4410", "A", recalled, tooWeak),
	)
	a.Machine.ModelKey = standin.ModelKey{Brand: "Helmbrook", Model: "H64"}
	a.Machine.Location, a.Machine.Plug, a.Machine.Serial = "front", []int{10}, "AB-??-12"
	a.TwinOf = &washer
	a.NotUsed = []standin.NotUsed{{Evidence: "serial", Reason: `the serial rule of the model cannot read "AB-??-12"`}}
	return a
}

func checking() *standin.Answer {
	a := sampleAnswer(sampleBuilds(),
		standin.Candidate{
			PartNumber: "QX-4410", Revision: "C", Issue: standin.Known(3), Verdict: standin.Check, Distance: standin.Known(0),
			Builds: []standin.BuildAnswer{configured3("b1", standin.Check, unread, noRating), configured3("b2", standin.Check, noRating)},
			Stock:  []standin.StockLine{{Location: "depot", Condition: "new", Free: 1}},
		})
	a.Machine.Location = "front"
	a.Machine.Made = standin.Made{Text: "2001-03/2001-05"}
	return a
}

func depending() *standin.Answer {
	b2 := configured3("b2", standin.Fits)
	b2.Code, b2.Pattern, b2.Adaptors = strings.Fields("C B F"), "11-1f011", []string{"LM-10"}
	a := sampleAnswer(sampleBuilds(), standin.Candidate{
		PartNumber: "QX-4410", Revision: "B", Issue: standin.Known(2), Verdict: standin.Depends, Title: "Wash control with a dial",
		Distance: standin.Known(0), Builds: []standin.BuildAnswer{configured3("b1", standin.Fits), b2},
	}, standin.Candidate{
		PartNumber: "QX-4420", Revision: "D", Verdict: standin.Depends, Distance: standin.Known(2),
		Builds: []standin.BuildAnswer{configured3("b1", standin.Check, noRating), {Build: "b2", Verdict: standin.No, Checks: checks(tooWeak)}},
	})
	a.Machine.Plug = []int{3}
	a.Questions = []standin.Question{
		{Kind: standin.EvidencePlug, Text: "Is there a plug of 10 ways on the harness?", Choices: []standin.Choice{
			{Answer: "3 10", Text: "yes, one with 10 ways", Builds: []string{"b1"}},
			{Answer: "", Text: "no, there is none", Builds: []string{"b2"}},
		}},
		{Kind: standin.EvidenceMade, Text: "Was it made before 2001-03-01?"},
	}
	return a
}

func nothingFits() *standin.Answer {
	a := sampleAnswer(sampleBuilds()[:1],
		misfit("QX-4410", "A", recalled, tooWeak, noCode), misfit("QX-4410", "B", tooWeak),
		misfit("QX-4420", "A", noCode, tooWeak), misfit("QX-4430", "", noCode))
	a.Candidates[1].Stock = []standin.StockLine{{Location: "front", Condition: "new", Free: 3, RevisionKnown: true}}
	return a
}

func contradicted(evidence ...string) *standin.Answer {
	a := sampleAnswer(nil)
	a.Machine.Made, a.Machine.Plug = standin.Made{Text: "2003"}, []int{10}
	a.Contradiction = &standin.Contradiction{
		Evidence: evidence,
		Reason:   "no build made in 2003 has a plug of 10 ways: those of 2003 have plugs of 6, 3, 2 and 2 ways",
	}
	a.BeforeFitting = nil
	return a
}

func withoutCode() *standin.Answer {
	switches := standin.BuildAnswer{Work: standin.Configure, Family: "SW", Procedure: "switches", Checks: checks()}
	strange := configured3("", standin.Fits)
	strange.Pattern = ""
	strange.Procedure = ""
	return sampleAnswer([]standin.Build{{}},
		standin.Candidate{PartNumber: "SW-1", Revision: "1", Builds: []standin.BuildAnswer{switches}},
		standin.Candidate{PartNumber: "QX-1", Revision: "1", Builds: []standin.BuildAnswer{strange}})
}

// hostile has names as long, as wide and as ill-meant as they come.
func hostile() *standin.Answer {
	long := strings.Repeat("Überlang", 30)
	b := configured3("b1\x1b[2J", standin.Check, unread)
	b.Code = strings.Fields(strings.Repeat("Θ ", 30))
	b.Pattern = standin.Pattern(strings.Repeat("10f-", 5))
	b.Swappable = [][2]string{{long, "配線盤" + long}}
	b.Adaptors = []string{long, long}
	bad := misfit(long, "\x00\xff\r\n", tooWeak)
	a := sampleAnswer(sampleBuilds(), standin.Candidate{
		PartNumber: long, Revision: "洗碗機" + long, Title: "洗碗機控制板 " + long, Verdict: standin.Check, Builds: []standin.BuildAnswer{b},
		Stock: []standin.StockLine{{Location: long, Condition: "new", Free: 1}},
	}, bad)
	a.Builds[0].Label = long
	a.Machine.Model = "\x1b]0;owned\a" + long
	a.Families["QX"].Readback = strings.Fields("K1 " + long + " 門")
	return a
}
