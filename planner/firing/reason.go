package firing

import (
	"echowright/planner/plan"
	"echowright/scheduler/clash"
)

// findClash looks for a smallest set of demands that no cycle within the budget keeps, or no cycle at all. Where it is the controller's
// ticks or the chains' own pace that make the cycle too long, or its bound is not proven to be, there is none.
func (w *work) findClash() (err error) {
	if !w.o.Try || w.read != nil || w.cannot == nil && w.within() {
		return nil
	}
	t := w.t
	if w.delayed != nil && w.delayed.rises { // its problem knows nothing of delays
		if t = w.delayed.base.t; t.CycleUs <= w.p.BudgetUs {
			return nil
		}
	}
	w.clash, err = clash.Find(w.ctx, w.p, t, clash.Options{Nodes: w.o.Nodes})
	return err
}

// demands are those that clash, as data of the Plan.
func (w *work) demands() (list []plan.Demand) {
	for _, d := range w.clash.Demands {
		p := plan.Demand{Kind: string(d.Kind), Sensors: w.names(d.Jobs), Us: d.Us, Most: d.Most}
		if d.Kind == clash.Resource {
			p.Name = w.p.ResourceName(d.Index)
		}
		list = append(list, p)
	}
	return list
}
