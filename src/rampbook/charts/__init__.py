"""Pictures: a finding goes in, a Vega-Lite drawing comes out; its rows can be had without drawing."""
