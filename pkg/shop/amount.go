package shop

import (
	"regexp"
	"strings"

	"github.com/shopspring/decimal"

	"tamis/pkg/fault"
)

// Amount is money or another exact decimal in a document: a JSON string, never a float. At least two decimals are
// written, so that "3.10" stays "3.10"; up to six are kept.
type Amount struct{ decimal.Decimal }

var amountForm = regexp.MustCompile(`^"-?[0-9]{1,9}(\.[0-9]{1,6})?"$`)

// ParseAmount reads a decimal such as "3.10": up to nine digits and six decimals. One below nothing is read too: whoever
// checks the document refuses it together with all else that cannot be.
func ParseAmount(s string) (Amount, error) {
	var a Amount
	return a, a.UnmarshalJSON([]byte(`"` + s + `"`))
}

// MustAmount is ParseAmount for figures written in this code.
func MustAmount(s string) Amount {
	a, err := ParseAmount(s)
	if err != nil {
		panic(err)
	}
	return a
}

// String writes the amount with two decimals or more.
func (a Amount) String() string {
	short := a.Decimal.String() // without the zeros at its end
	if _, decimals, _ := strings.Cut(short, "."); len(decimals) < 2 {
		return a.StringFixed(2)
	}
	return short
}

// MarshalJSON writes a JSON string.
func (a Amount) MarshalJSON() ([]byte, error) { return []byte(`"` + a.String() + `"`), nil }

// UnmarshalJSON reads a JSON string; a number, a plus or an exponent is fault.Malformed.
func (a *Amount) UnmarshalJSON(data []byte) error {
	if !amountForm.Match(data) {
		return fault.Newf(fault.Malformed, "", "amount",
			"a decimal string such as \"3.10\" is wanted: up to nine digits and six decimals")
	}
	d, err := decimal.NewFromString(string(data[1 : len(data)-1]))
	a.Decimal = d
	return err
}
