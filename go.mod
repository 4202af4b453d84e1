module standin

go 1.26
