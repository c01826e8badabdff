// Package drill holds the tests that run Tamis as it is run: the two programs as processes, a real Redis, a real S3
// server, and a storefront that calls over HTTP while workers are killed, frozen and robbed of their Redis.
package drill
