package study

import (
	"context"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

func compute(t *testing.T, sc *scene.Scene, o optics.Options) *result.Map {
	t.Helper()
	m, err := optics.Map(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func glance(t testing.TB, s *optics.Session, sc *scene.Scene) *result.Glance {
	t.Helper()
	g, err := s.Glance(context.Background(), sc, result.View{})
	if err != nil {
		t.Fatal(err)
	}
	return g
}
