package dbtest

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"strings"

	"github.com/testcontainers/testcontainers-go"
)

// builtImage is what .ci/postgres-image builds from Debian's packages; where it
// is there nothing needs to be pulled.
const builtImage = "standin-postgres:local"

// officialImage is pulled where there is no other.
const officialImage = "postgres:15"

// remover waits, as keeper does, until this test binary ends, and then removes
// the container.
const remover = `
read -r nothing
"$1" rm --force --volumes "$2"
`

// container starts a throw-away server in a container. STANDIN_TEST_IMAGE names
// the image; it may be any that understands POSTGRES_USER and POSTGRES_PASSWORD.
func container(ctx context.Context, getenv func(string) string) (*server, error) {
	docker, err := exec.LookPath("docker")
	if err != nil {
		return nil, errors.New("no docker is installed to run a container")
	}
	image, err := chooseImage(ctx, docker, getenv("STANDIN_TEST_IMAGE"))
	if err != nil {
		return nil, err
	}
	if err := configure(getenv); err != nil {
		return nil, err
	}
	password := rand.Text()
	c, err := testcontainers.Run(ctx, image,
		testcontainers.WithEnv(map[string]string{"POSTGRES_USER": "standin", "POSTGRES_PASSWORD": password, "POSTGRES_DB": "postgres"}),
		testcontainers.WithExposedPorts("5432/tcp"),
		testcontainers.WithTmpfs(map[string]string{"/var/lib/postgresql/data": "rw"}),
		testcontainers.WithCmd("postgres", "-c", "fsync=off", "-c", "full_page_writes=off", "-c", "max_connections=200"),
	)
	if c != nil {
		if err := whenWeEnd(exec.Command("/bin/sh", "-c", remover, "sh", docker, c.GetContainerID())); err != nil {
			return nil, errors.Join(err, c.Terminate(ctx))
		}
	}
	if err != nil {
		return nil, fmt.Errorf("a container of %s: %w", image, err)
	}
	return reach(ctx, c, password)
}

// chooseImage finds out whether the engine answers and has the image wanted, or
// one that will do, so that nothing is pulled in vain.
func chooseImage(ctx context.Context, docker, wanted string) (string, error) {
	if out, err := exec.CommandContext(ctx, docker, "version").CombinedOutput(); err != nil {
		return "", fmt.Errorf("no container engine answers: %w\n%s", err, out)
	}
	candidates := []string{builtImage, officialImage}
	if wanted != "" {
		candidates = []string{wanted}
	}
	for _, image := range candidates {
		if exec.CommandContext(ctx, docker, "image", "inspect", image).Run() == nil {
			return image, nil
		}
	}
	image := candidates[len(candidates)-1]
	if out, err := exec.CommandContext(ctx, docker, "pull", "--quiet", image).CombinedOutput(); err != nil {
		return "", fmt.Errorf("no image %s, and it cannot be pulled: %w\n%s", image, err, out)
	}
	return image, nil
}

// configure tells the library, which reads the environment, not to start its
// own remover of containers, which needs another image to be pulled, and to
// reach an engine behind a local socket over loopback, where it would take the
// default gateway if it thought that we are in a container ourselves.
func configure(getenv func(string) string) error {
	err := os.Setenv("TESTCONTAINERS_RYUK_DISABLED", "true")
	local := !strings.HasPrefix(getenv("DOCKER_HOST"), "tcp:")
	if local && getenv("TESTCONTAINERS_HOST_OVERRIDE") == "" {
		err = errors.Join(err, os.Setenv("TESTCONTAINERS_HOST_OVERRIDE", "127.0.0.1"))
	}
	return err
}

// reach waits until the server in the container answers.
func reach(ctx context.Context, c testcontainers.Container, password string) (*server, error) {
	host, err := c.Host(ctx)
	if err != nil {
		return nil, err
	}
	port, err := c.MappedPort(ctx, "5432/tcp")
	if err != nil {
		return nil, err
	}
	u := url.URL{Scheme: "postgres", User: url.UserPassword("standin", password), Path: "/postgres",
		Host: net.JoinHostPort(host, port.Port())}
	s, err := newServer(u.String())
	if err != nil {
		return nil, err
	}
	return s, s.awaitAnswer(ctx)
}
