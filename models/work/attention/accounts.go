package attention

import (
	"context"
	"strconv"

	"tracewright/models"
)

// keys are the tablets whose key seems to be in two places: whoever has the other
// may record in the shop's name.
func (s *Service) keys(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActManagePeople}
	if s.from.Keys == nil {
		return out, nil
	}
	list, err := s.from.Keys(ctx)
	if err != nil {
		return out, err
	}
	for i, k := range list {
		row := Row{Kind: DeviceKey, Level: Safety, Count: 1, Since: k.Since, Do: Deed{Code: "see_devices", Needs: models.ActManagePeople, At: "device"}}
		if i == eachShown {
			row.Count = len(list) - i
			row.Says = models.NewRemark("attention_device_many", "count", strconv.Itoa(row.Count))
			out.rows = append(out.rows, row)
			break
		}
		row.Says = models.NewRemark("attention_device", "tablet", k.Device, "place", k.Place)
		row.Lines = append(k.Says, models.NewRemark("attention_device_line"))
		out.rows = append(out.rows, row)
	}
	if len(list) == 0 {
		out.fine = []models.Remark{models.NewRemark("attention_no_device")}
	}
	return out, nil
}

// kept is the one row of customers who are kept longer than the shop wants.
func (s *Service) kept(ctx context.Context, _ moment) (found, error) {
	out := found{needs: models.ActCustomers}
	if s.from.Kept == nil {
		return out, nil
	}
	k, err := s.from.Kept(ctx)
	if err != nil || k.Count == 0 {
		return out, err
	}
	count := strconv.Itoa(k.Count)
	row := Row{Kind: Retention, Level: Due, Count: k.Count, Do: Deed{Code: "see_customers", Needs: models.ActCustomers, At: "retention"},
		Says: models.NewRemark(plural("attention_retention", k.Count), "count", count), Lines: []models.Remark{models.NewRemark("attention_retention_line", "months", strconv.Itoa(k.Months))}}
	if k.More {
		row.Says = models.NewRemark("attention_retention_most", "count", count)
	}
	out.rows = []Row{row}
	return out, nil
}
