package library

import (
	"context"
	"regexp"

	"tamis/pkg/color"
	"tamis/pkg/fault"
	"tamis/pkg/store"
)

// MaxProfileBytes bounds an uploaded ICC profile: large ones have some 3 MB.
const MaxProfileBytes = 8 << 20

// Profile is an ICC output profile of a shop. Its id follows from its bytes, so that an order that names it means the
// same for ever.
type Profile struct {
	ID          string `json:"id" example:"icc_0123456789abcdef0123456789abcdef"`
	SHA256      string `json:"sha256"`
	Bytes       int64  `json:"bytes"`
	Description string `json:"description"`
	ColorSpace  string `json:"color_space" example:"CMYK"`
}

const (
	profilePrefix = "icc_"
	profileExt    = ".icc"
)

var profileForm = regexp.MustCompile(`^icc_[0-9a-f]{32}$`)

func profileKey(s ShopID, id string) string { return prefix(s) + "profiles/" + id + profileExt }

// SaveProfile checks a profile and keeps it. created is false when the shop holds the same bytes already.
func (l *Library) SaveProfile(ctx context.Context, shop ShopID, data []byte) (p Profile, created bool, err error) {
	output, err := color.ParseOutput(data)
	if err != nil {
		return p, false, err
	}
	p = profileOf(output, data)
	created, err = l.putOnce(ctx, profileKey(shop, p.ID), data, "application/vnd.iccprofile")
	return p, created, err
}

func profileOf(o *color.Output, data []byte) Profile {
	sha := sumHex(data)
	return Profile{ID: profilePrefix + sha[:32], SHA256: sha, Bytes: int64(len(data)), Description: o.Name(),
		ColorSpace: "CMYK"}
}

// Output opens a profile of the shop; nil for the id "". One that is not there is fault.Invalid at the order's field.
func (l *Library) Output(ctx context.Context, shop ShopID, id string) (*color.Output, error) {
	if id == "" {
		return nil, nil
	}
	data, err := l.profile(ctx, shop, id)
	if fault.Is(err, fault.NotFound) {
		return nil, fault.Invalidf("/separation/profile", "unknown_profile", "there is no profile %.60q here", id)
	}
	if err != nil {
		return nil, err
	}
	return color.ParseOutput(data)
}

// Profile finds a profile of the shop; fault.NotFound for any other id.
func (l *Library) Profile(ctx context.Context, shop ShopID, id string) (Profile, error) {
	data, err := l.profile(ctx, shop, id)
	if err != nil {
		return Profile{}, err
	}
	output, err := color.ParseOutput(data)
	if err != nil {
		return Profile{}, err
	}
	return profileOf(output, data), nil
}

func (l *Library) profile(ctx context.Context, shop ShopID, id string) ([]byte, error) {
	if !profileForm.MatchString(id) {
		return nil, notFound("profile", id)
	}
	data, _, err := store.ReadAll(ctx, l.store, profileKey(shop, id), MaxProfileBytes)
	if fault.Is(err, fault.NotFound) {
		return nil, notFound("profile", id)
	}
	return data, err
}
