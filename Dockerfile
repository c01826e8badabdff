# One image, two programs: the api (default) and the worker.
#   docker build -t tamis .
#   docker run --network host tamis            # the api; without keys it binds loopback addresses only
#   docker run --network host -e TAMIS_… tamis /worker
FROM golang:1.26 AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags "-s -w" -o /out/ ./api ./worker

FROM gcr.io/distroless/static-debian12:nonroot
COPY --from=build /out/api /out/worker /
USER nonroot
ENTRYPOINT []
CMD ["/api"]
