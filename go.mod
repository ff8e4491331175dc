module echowright

go 1.25

require (
	github.com/crillab/gophersat v1.4.0
	github.com/golang/geo v0.0.0-20260818125358-b200a1149890
	github.com/peterstace/simplefeatures v0.50.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	gopkg.in/yaml.v3 v3.0.1
)

require golang.org/x/text v0.14.0 // indirect
