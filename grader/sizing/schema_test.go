package sizing

import (
	"bytes"
	"encoding/json"
	"os"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"loopwright/grader/network"
)

// What size --json prints is as its schema says, in every layout.
func TestJSONIsAsTheSchemaSays(t *testing.T) {
	c := jsonschema.NewCompiler()
	result, err := jsonschema.UnmarshalJSON(bytes.NewReader(must(os.ReadFile("result.schema.json"))))
	require.NoError(t, err)
	solution, err := jsonschema.UnmarshalJSON(bytes.NewReader(must(os.ReadFile("../network/solution.schema.json"))))
	require.NoError(t, err)
	require.NoError(t, c.AddResource("memory:///result.schema.json", result))
	require.NoError(t, c.AddResource("memory:///solution.schema.json", solution))
	schema, err := c.Compile("memory:///result.schema.json")
	require.NoError(t, err)
	for _, layout := range Layouts() {
		for _, emitter := range []string{FinTube, CastIron, Panel} {
			j := farm(layout, network.SI, emitter)
			j.Controls = true
			r, err := Size(j)
			require.NoError(t, err)
			text, err := json.Marshal(r)
			require.NoError(t, err)
			value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
			require.NoError(t, err)
			require.NoError(t, schema.Validate(value), layout)
		}
	}
}
