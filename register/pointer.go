package register

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"github.com/google/uuid"
)

// steps splits a JSON Pointer (RFC 6901 §3–4) into its reference tokens.
func steps(pointer string) ([]string, error) {
	if pointer == "" {
		return nil, nil
	}
	if pointer[0] != '/' {
		return nil, fmt.Errorf("field %q: a JSON Pointer starts with a slash, like /handled/sex", pointer)
	}
	parts := strings.Split(pointer[1:], "/")
	for i, p := range parts {
		parts[i] = strings.NewReplacer("~1", "/", "~0", "~").Replace(p)
	}
	return parts, nil
}

// getPointer is the value at a pointer, nil where there is none yet.
func getPointer(doc []byte, pointer string) (json.RawMessage, error) {
	path, err := steps(pointer)
	if err != nil {
		return nil, err
	}
	var at any
	if err := json.Unmarshal(doc, &at); err != nil {
		return nil, err
	}
	for _, p := range path {
		switch node := at.(type) {
		case map[string]any:
			at = node[p]
		case []any:
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(node) {
				return nil, nil
			}
			at = node[i]
		default:
			return nil, nil
		}
	}
	if at == nil {
		return nil, nil
	}
	return json.Marshal(at)
}

// setPointer puts a value at a pointer, making the objects on the way; null
// takes the member of an object away. "-" appends to an array.
func setPointer(doc []byte, pointer string, value json.RawMessage) ([]byte, error) {
	path, err := steps(pointer)
	if err != nil {
		return nil, err
	}
	var root, v any
	if err := json.Unmarshal(doc, &root); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(value, &v); err != nil {
		return nil, fmt.Errorf("field %s: %w", pointer, err)
	}
	root, err = set(root, path, v)
	if err != nil {
		return nil, fmt.Errorf("field %s: %w", pointer, err)
	}
	return json.Marshal(root)
}

func set(at any, path []string, v any) (any, error) {
	if len(path) == 0 {
		return v, nil
	}
	switch node := at.(type) {
	case nil:
		return set(map[string]any{}, path, v)
	case map[string]any:
		child, err := set(node[path[0]], path[1:], v)
		if err != nil {
			return nil, err
		}
		node[path[0]] = child
		if child == nil {
			delete(node, path[0])
		}
		return node, nil
	case []any:
		i := len(node)
		if path[0] != "-" {
			n, err := strconv.Atoi(path[0])
			if err != nil || n < 0 || n > len(node) {
				return nil, fmt.Errorf("no element %q in a list of %d", path[0], len(node))
			}
			i = n
		}
		if i == len(node) {
			node = append(node, nil)
		}
		child, err := set(node[i], path[1:], v)
		if err != nil {
			return nil, err
		}
		node[i] = child
		return node, nil
	}
	return nil, fmt.Errorf("%q is inside a plain value", path[0])
}

func errNoLine(id uuid.UUID) error {
	return fmt.Errorf("line %s: not in this notebook, or struck; correct a line that stands", id)
}
