package design

import (
	"math"
	"testing"

	"packyard/check"
)

func TestALimitOfZeroIsNoneOrForbids(t *testing.T) {
	t.Parallel()
	var v Values
	v.set(Money, 5000, 0)
	if v.Asked.Has(Money) || v.Broken() != 0 || v.Violation(Money) != 0 {
		t.Errorf("a wish without a limit: asked %v, broken %v, violation %v", v.Asked, v.Broken(), v.Violation(Money))
	}
	if _, ok := v.Finding(Money, "EUR"); ok {
		t.Error("a wish without a limit has a finding")
	}
	v.must(CurrentPeak, 3, 0)
	if !v.Broken().Has(CurrentPeak) || v.Violation(CurrentPeak) != 1 {
		t.Errorf("3 A where none are allowed: broken %v, violation %v", v.Broken(), v.Violation(CurrentPeak))
	}
	v.set(Money, 5000, 4000)
	if v.Broken() != 1<<Money|1<<CurrentPeak {
		t.Errorf("broken %v", v.Broken().Rules())
	}
	v.set(Money, 5000, 0)
	if v.Broken().Has(Money) {
		t.Error("a limit that was taken back still breaks")
	}
}

func TestNothingIsAllowedAndNothingIsAsked(t *testing.T) {
	t.Parallel()
	var v Values
	v.must(CurrentPeak, 0, 0)
	if v.Broken() != 0 || v.Violation(CurrentPeak) != 0 {
		t.Errorf("no current where none is allowed is broken by %v", v.Violation(CurrentPeak))
	}
}

func TestMarginIsTheShareOfTheLimitThatIsLeft(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rule                     Rule
		value, limit, margin     float64
		broken, warning, failure bool
	}{
		{AxleRear, 1440, 1450, 10.0 / 1450, false, true, false},
		{AxleRear, 1450, 1450, 0, false, true, false},
		{AxleRear, 1450 * (1 + 1e-12), 1450, 0, false, true, false},
		{AxleRear, 1450.1, 1450, -0.1 / 1450, true, false, true},
		{AxleRear, 1000, 1450, 450.0 / 1450, false, false, false},
		{InverterLowest, 240, 240, 0, false, true, false},
		{InverterLowest, 228, 240, -0.05, true, false, true},
		{InverterLowest, 300, 240, 0.25, false, false, false},
		{Space, 7, 7, 0, false, false, false},
		{Space, 6, 8, -0.25, true, false, true},
		{Supply, 10, 10, 0, false, false, false},
	} {
		var v Values
		v.must(c.rule, c.value, c.limit)
		if got := v.margin(c.rule); math.Abs(got-c.margin) > 1e-11 {
			t.Errorf("%v of %v: margin %v, want %v", c.value, c.limit, got, c.margin)
		}
		if got := v.Violation(c.rule); math.Abs(got-max(0, -c.margin)) > 1e-11 {
			t.Errorf("%v of %v: violation %v", c.value, c.limit, got)
		}
		if v.Broken().Has(c.rule) != c.broken {
			t.Errorf("%s, %v of %v: broken %v", c.rule, c.value, c.limit, !c.broken)
		}
		f, ok := v.Finding(c.rule, "EUR")
		if !ok || (f.Severity == check.Failure) != c.failure || (f.Severity == check.Warning) != c.warning {
			t.Errorf("%s, %v of %v: finding %+v", c.rule, c.value, c.limit, f)
		}
		if (f.Remedy != "") != c.failure {
			t.Errorf("%s, %v of %v: remedy %q", c.rule, c.value, c.limit, f.Remedy)
		}
	}
}

func TestEveryRuleIsNamedOnceAndComplete(t *testing.T) {
	t.Parallel()
	for r := range RuleCount {
		in := r.Info()
		if in.Name == "" || in.Budget == "" || in.Subject == "" || in.Symbol == "" || in.Noun == "" || in.Remedy == "" || in.Source == "" {
			t.Errorf("rule %d is not complete: %+v", r, in)
		}
		if got, ok := RuleNamed(in.Name); !ok || got != r {
			t.Errorf("%q names rule %d, want %d", in.Name, got, r)
		}
	}
	if _, ok := RuleNamed("mass.none"); ok {
		t.Error("a rule that is none was found")
	}
}

func TestWorstLooksAtVoltsAmperesAndKilogramsOnly(t *testing.T) {
	t.Parallel()
	var v Values
	v.must(Money, 99, 100)
	v.must(Supply, 10, 10)
	v.must(Space, 3, 3)
	v.must(RangeNew, 101, 100)
	v.must(MassBattery, 100, 100)
	v.must(AxleRear, 95, 100)
	v.must(InverterLowest, 103, 100)
	if m, r := v.Worst(); r != InverterLowest || math.Abs(m-0.03) > 1e-12 {
		t.Errorf("worst is %s with %v", r, m)
	}
}

func TestSetsOfRules(t *testing.T) {
	t.Parallel()
	s := Set(1<<Money | 1<<Space)
	if !s.Has(Money) || s.Has(Supply) || s.Without(Money) != 1<<Space || s.Without(Supply) != s {
		t.Errorf("set %v", s)
	}
	if got := s.Rules(); len(got) != 2 || got[0] != Space || got[1] != Money {
		t.Errorf("rules %v, want space before money", got)
	}
}
