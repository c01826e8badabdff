package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"
)

// rate is what a server answered under load.
type rate struct{ perS, p50MS, p99MS float64 }

// load posts bodies to an address from so many callers for a while and gives what came of it. next gives each call's
// body, to several callers at once. The first answer that is no success ends it.
func load(ctx context.Context, url string, next func() []byte, callers int, while time.Duration) (rate, error) {
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: callers}}
	defer client.CloseIdleConnections()
	took := make([][]float64, callers)
	group, ctx := errgroup.WithContext(ctx)
	start := time.Now()
	for n := range callers {
		group.Go(func() error {
			for time.Since(start) < while {
				asked := time.Now()
				if err := post(ctx, client, url, next()); err != nil {
					return err
				}
				took[n] = append(took[n], time.Since(asked).Seconds()*1000)
			}
			return nil
		})
	}
	err := group.Wait()
	seconds := time.Since(start).Seconds()
	all := slices.Sorted(slices.Values(slices.Concat(took...)))
	if err != nil || len(all) == 0 {
		return rate{}, err
	}
	return rate{float64(len(all)) / seconds, all[len(all)/2], all[len(all)*99/100]}, nil
}

// post sends one body and reads the whole answer.
func post(ctx context.Context, client *http.Client, url string, body []byte) error {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, url, bytes.NewReader(body))
	if err != nil {
		return err
	}
	req.Header.Set("Content-Type", "application/json")
	resp, err := client.Do(req)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	answer, err := io.ReadAll(resp.Body)
	if err == nil && resp.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s: %s %.300s", url, resp.Status, answer)
	}
	return err
}
