package main

import (
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"strings"
	"time"

	"github.com/urfave/cli/v3"

	"standin/api"
)

// The flags of what serves.
const (
	flagListen        = "listen"
	flagMetricsListen = "metrics-listen"
	flagDebugListen   = "debug-listen"
	flagTLSCert       = "tls-cert"
	flagTLSKey        = "tls-key"
	flagTrustProxy    = "trust-proxy"
	flagOrigin        = "allow-origin"
	flagRateLimit     = "rate-limit"
	flagQuestionTime  = "question-time"
	flagReadyTime     = "ready-time"
	flagLogFormat     = "log-format"
	flagLogLevel      = "log-level"
	flagUploadDir     = "upload-dir"
	flagUploadLimit   = "upload-limit"
	flagUploadQueue   = "upload-queue"
)

func serveFlags() []cli.Flag {
	return append([]cli.Flag{listenFlag(), publicURLFlag(""), readingFlag()},
		&cli.StringFlag{Name: flagMetricsListen, Usage: "`ADDRESS` of its own for /metrics", Sources: cli.EnvVars("STANDIN_METRICS_LISTEN")},
		&cli.StringFlag{Name: flagDebugListen, Usage: "loopback `ADDRESS` for /debug/pprof", Sources: cli.EnvVars("STANDIN_DEBUG_LISTEN"), Validator: loopback},
		&cli.StringFlag{Name: flagTLSCert, Usage: "certificate chain, PEM `FILE`; read again when it changes", Sources: cli.EnvVars("STANDIN_TLS_CERT")},
		&cli.StringFlag{Name: flagTLSKey, Usage: "its private key, PEM `FILE`", Sources: cli.EnvVars("STANDIN_TLS_KEY")},
		&cli.StringSliceFlag{Name: flagTrustProxy, Usage: "`NETWORK` of proxies whose X-Forwarded-For is believed, as 10.0.0.0/8", Sources: cli.EnvVars("STANDIN_TRUST_PROXY")},
		&cli.StringSliceFlag{Name: flagOrigin, Usage: "web `SITE` whose pages may call the API, as https://shop.example", Sources: cli.EnvVars("STANDIN_ALLOW_ORIGIN")},
		&cli.IntFlag{Name: flagRateLimit, Usage: "requests a minute of one caller; 0: any number", Sources: cli.EnvVars("STANDIN_RATE_LIMIT"), Validator: between(0, 1_000_000)},
		&cli.DurationFlag{Name: flagQuestionTime, Usage: "a question takes at most; a change three times that", Value: 5 * time.Second, Sources: cli.EnvVars("STANDIN_QUESTION_TIME"), Validator: someTime},
		&cli.DurationFlag{Name: flagReadyTime, Usage: "/readyz takes at most", Value: 2 * time.Second, Sources: cli.EnvVars("STANDIN_READY_TIME"), Validator: someTime},
		&cli.StringFlag{Name: flagUploadDir, Usage: "`FOLDER` for bundles while they are imported; by default one among the system's temporary files", Sources: cli.EnvVars("STANDIN_UPLOAD_DIR")},
		&cli.IntFlag{Name: flagUploadLimit, Usage: "a bundle may have at most so many MiB", Value: 256, Sources: cli.EnvVars("STANDIN_UPLOAD_LIMIT"), Validator: between(1, 1_000_000)},
		&cli.IntFlag{Name: flagUploadQueue, Usage: "so many bundles are received, waiting or imported at most", Value: 8, Sources: cli.EnvVars("STANDIN_UPLOAD_QUEUE"), Validator: between(1, 1000)},
		&cli.StringFlag{Name: flagLogFormat, Usage: "text or json", Value: "text", Sources: cli.EnvVars("STANDIN_LOG_FORMAT"), Validator: oneOf("text", "json")},
		&cli.StringFlag{Name: flagLogLevel, Usage: "the least that is logged: debug, info, warn or error", Value: "info", Sources: cli.EnvVars("STANDIN_LOG_LEVEL"), Validator: oneOf("debug", "info", "warn", "error")},
	)
}

func listenFlag() cli.Flag {
	return &cli.StringFlag{
		Name: flagListen, Usage: "address", Value: "127.0.0.1:8470", Sources: cli.EnvVars("STANDIN_LISTEN"),
	}
}

// someTime lets through times that something can be done in.
func someTime(d time.Duration) error {
	if d < 10*time.Millisecond || d > time.Hour {
		return fmt.Errorf("%s is not from 10ms to 1h", d)
	}
	return nil
}

// oneOf lets through a few words.
func oneOf(words ...string) func(string) error {
	return func(text string) error {
		for _, w := range words {
			if text == w {
				return nil
			}
		}
		return fmt.Errorf("%q is not %s", text, strings.Join(words, " or "))
	}
}

// loopback lets through addresses that only this machine reaches.
func loopback(address string) error {
	if address == "" {
		return nil
	}
	host, _, err := net.SplitHostPort(address)
	if ip := net.ParseIP(host); err != nil || ip == nil || !ip.IsLoopback() {
		return fmt.Errorf("%q is not a loopback address; what it shows is for this machine alone: write it as 127.0.0.1:8479", address)
	}
	return nil
}

// logOf is the log that a command line asks for.
func (p *program) logOf(c *cli.Command) *slog.Logger {
	var level slog.Level
	_ = level.UnmarshalText([]byte(c.String(flagLogLevel))) // looked at with the flag
	options := &slog.HandlerOptions{Level: level}
	if c.String(flagLogFormat) == "json" {
		log := slog.New(slog.NewJSONHandler(p.stderr, options))
		p.log = log // so that notes do not break the lines of JSON
		return log
	}
	return slog.New(slog.NewTextHandler(p.stderr, options))
}

// configOf is how the API is set up by a command line, to answer at an address.
func configOf(c *cli.Command, at net.Addr) (api.Config, error) {
	config := api.Config{
		Version: version(), PublicURL: c.String(flagPublicURL), Origins: c.StringSlice(flagOrigin), RateLimit: c.Int(flagRateLimit),
		QuestionTime: c.Duration(flagQuestionTime), ReadyTime: c.Duration(flagReadyTime),
		MetricsApart: c.String(flagMetricsListen) != "",
	}
	var err error
	if config.Guarded, err = needsToken(c, at); err != nil {
		return config, err
	}
	for _, origin := range config.Origins {
		if err := api.CheckOrigin(origin); err != nil {
			return config, misused(c, "--%s: %v", flagOrigin, err)
		}
	}
	for _, text := range c.StringSlice(flagTrustProxy) {
		network, err := networkOf(text)
		if err != nil {
			return config, misused(c, "--%s: %q is not a network; write it as 10.0.0.0/8 or 192.0.2.7", flagTrustProxy, text)
		}
		config.TrustedProxies = append(config.TrustedProxies, network)
	}
	return config, nil
}

// networkOf is a network, or the one of a single address.
func networkOf(text string) (netip.Prefix, error) {
	if address, err := netip.ParseAddr(text); err == nil {
		return address.Prefix(address.BitLen())
	}
	return netip.ParsePrefix(text)
}
