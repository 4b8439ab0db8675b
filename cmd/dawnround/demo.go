package main

import "errors"

func (c *call) demo() error { return errors.New("not yet") }
