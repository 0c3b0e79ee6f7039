package web

import (
	"fmt"
	"math"
	"time"
)

func inDays(d time.Duration) string {
	switch days := int(math.Ceil(d.Hours() / 24)); {
	case days <= 1:
		return "within a day"
	default:
		return fmt.Sprintf("in %d days", days)
	}
}

func ago(d time.Duration) string {
	switch {
	case d < 2*time.Minute:
		return "just now"
	case d < time.Hour:
		return fmt.Sprintf("%d minutes ago", int(d.Minutes()))
	case d < 2*time.Hour:
		return "an hour ago"
	case d < 24*time.Hour:
		return fmt.Sprintf("%d hours ago", int(d.Hours()))
	case d < 48*time.Hour:
		return "yesterday"
	}
	return fmt.Sprintf("%d days ago", int(d.Hours()/24))
}

func countOf(n, of int) string { return fmt.Sprintf("%d of %d", n, of) }

func scoreText(score float64) string { return fmt.Sprintf("%.0f\u00a0%%", 100*score) }
