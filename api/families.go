package api

import (
	"standin"
	"standin/openapi/gen"
)

func encodeFamily(f standin.Family) gen.Family {
	return gen.Family{
		Family: f.Name, Title: f.Title, Selector: texts(f.Selector), CodeLength: f.CodeLength,
		Readback: texts(f.Readback), Procedure: f.Procedure, Note: f.Note,
	}
}

func encodeStep(s standin.Step) gen.Step {
	return gen.Step{
		Phase: gen.StepPhase(s.Phase), Step: s.Step, Do: s.Do, HoldSeconds: maybe(s.HoldSeconds), Expect: s.Expect,
	}
}
