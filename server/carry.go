package server

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"

	"dawnround/courier"
)

// Carry reaches another dawnround at an origin, such as
// https://camp.local:4171. It follows no redirect and sends no cookie.
func Carry(client *http.Client, origin string) courier.Carry {
	plain := *client
	plain.Jar = nil
	plain.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		ask, err := http.NewRequestWithContext(ctx, http.MethodPost, origin+path, bytes.NewReader(body))
		if err != nil {
			return courier.Answer{}, err
		}
		ask.Header.Set("Content-Type", octets)
		if authorization != "" {
			ask.Header.Set("Authorization", authorization)
		}
		answer, err := plain.Do(ask)
		if err != nil {
			return courier.Answer{}, fmt.Errorf("%s does not answer: %w", origin, err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(io.LimitReader(answer.Body, maxParcel+1))
		if err == nil && len(text) > maxParcel {
			err = fmt.Errorf("%s answered with more than 8 MB; no version sends so much at once", origin)
		}
		return courier.Answer{Status: answer.StatusCode, Body: text}, err
	}
}
