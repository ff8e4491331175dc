module echowright

go 1.25.0

require (
	github.com/andybalholm/brotli v1.3.0
	github.com/atotto/clipboard v0.1.4
	github.com/crillab/gophersat v1.4.0
	github.com/golang/geo v0.0.0-20260818125358-b200a1149890
	github.com/hajimehoshi/ebiten/v2 v2.10.0-alpha.13
	github.com/peterstace/simplefeatures v0.50.0
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	golang.org/x/image v0.44.0
	gopkg.in/yaml.v3 v3.0.1
)

require (
	github.com/ebitengine/gomobile v0.0.0-20260211053922-3d992dae95d1 // indirect
	github.com/ebitengine/hideconsole v1.0.0 // indirect
	github.com/ebitengine/purego v0.11.0-alpha.8 // indirect
	golang.org/x/sync v0.22.0 // indirect
	golang.org/x/sys v0.47.0 // indirect
	golang.org/x/text v0.40.0 // indirect
)
