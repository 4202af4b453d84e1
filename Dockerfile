# The service. Built with a Go image that is pulled:
#
#	docker build -t standin .
#
# and where nothing can be pulled, from a binary built outside:
#
#	CGO_ENABLED=0 go build -trimpath -o standin ./cmd/standin
#	docker build -t standin --target prebuilt .
#
# BASE may be any image, a static binary needs nothing. It listens on all
# addresses of its container, where loopback would be reached by nobody; publish
# the port on an address of your choice. Bundles can be sent to it where it has a
# /tmp (docker run --tmpfs /tmp), or STANDIN_UPLOAD_DIR names a volume.
ARG GO_IMAGE=golang:1.26
ARG BASE=scratch

FROM ${BASE} AS base
ENV STANDIN_LISTEN=0.0.0.0:8470
EXPOSE 8470
USER 65534:65534
ENTRYPOINT ["/standin"]
CMD ["serve"]

FROM base AS prebuilt
COPY standin /standin

FROM ${GO_IMAGE} AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags=-s -o /standin ./cmd/standin

FROM base
COPY --from=build /standin /standin
