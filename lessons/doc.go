// Package lessons holds the curriculum: Markdown with front matter in
// content/, the course map, and the goldmark extensions that put computed
// values, live figures, questions and worked examples into a page.
//
// No number in a lesson is typed into its prose. A lesson declares its values
// in the front matter, each native in both systems of units and with its
// source, and computes the rest by asking the engine:
//
//	values:
//	  load: {kind: power, us: "60,000 BTU/h", si: 18 kW, source: demo}
//	  drop: {kind: temperature_difference, us: 20 °F, si: 10 K, source: common practice}
//	  flow: {expr: "rule_flow(load, drop)"}
//
// In the text, {= flow} prints a value and {: gpm | L/s :} picks the words of
// the learner's system. Fenced blocks named figure, predict and worked hold
// the interactive parts. [Check] verifies all of it.
package lessons
