package main

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"text/tabwriter"
	"time"

	"undercroft/survey"
	"undercroft/survey/password"
	"undercroft/survey/store"
)

const userUsage = `user add NAME --role surveyor|installer|office [flags]
       undercroft user list [flags]
       undercroft user disable NAME [flags]
       undercroft user reset NAME [flags]

add asks for the password, disable ends every session at once, and reset gives a new password (and lets somebody who was
disabled in again). The password is asked for on the terminal, or read as the first line of standard input; it is never an
argument. A server that runs on the same folder knows of it at its next request.`

// runUser is the command user.
func runUser(ctx context.Context, args []string, env environment) int {
	set := flag.NewFlagSet("user", flag.ContinueOnError)
	dir := set.String("data", fallback(env.getenv("UNDERCROFT_DATA"), "data"), "data `folder`, made by add when it is not there (or $UNDERCROFT_DATA)")
	role := set.String("role", "", "`role` of the new person: surveyor, installer or office (may do everything)")
	rest, status, done := parseFlags(set, args, env, userUsage)
	if done {
		return status
	}
	words := map[string]int{"add": 2, "list": 1, "disable": 2, "reset": 2}
	if len(rest) == 0 || words[rest[0]] != len(rest) {
		return fail(env, exitUsage, "user wants add NAME, list, disable NAME or reset NAME; a name of several words in quotes")
	}
	if rest[0] != "add" {
		if _, err := os.Stat(*dir); err != nil {
			return fail(env, exitFailed, "there is no data folder %s: name it with -data", *dir)
		}
	}
	person := survey.Person{Role: survey.Role(*role)}
	if len(rest) == 2 {
		person.Name = strings.TrimSpace(rest[1])
	}
	if rest[0] == "add" {
		if err := person.Validate(); err != nil {
			return fail(env, exitUsage, "%s", explained(err))
		}
	}
	people, err := store.OpenPeople(ctx, store.Config{Dir: *dir, Now: time.Now})
	if err != nil {
		return fail(env, exitFailed, "%v", err)
	}
	said, err := changePeople(ctx, people, rest[0], person, env)
	if closed := people.Close(); err == nil && closed != nil {
		err = fmt.Errorf("close the data folder: %w", closed)
	}
	if err != nil {
		return fail(env, exitFailed, "%s", explained(err))
	}
	fmt.Fprint(env.stdout, said)
	return exitOK
}

// changePeople does one of the command's works and gives what is to be printed.
func changePeople(ctx context.Context, people store.People, work string, p survey.Person, env environment) (string, error) {
	switch work {
	case "list":
		return listPeople(ctx, people)
	case "disable":
		p, err := people.DisablePerson(ctx, p.Name)
		return fmt.Sprintf("%s cannot sign in any more, and is signed out everywhere.\n", p.Name), err
	}
	hash, err := askPassword(p.Name, env)
	if err != nil {
		return "", err
	}
	if work == "reset" {
		p, err := people.ResetPerson(ctx, p.Name, hash)
		return fmt.Sprintf("%s has a new password, and is signed out everywhere.\n", p.Name), err
	}
	p, err = people.AddPerson(ctx, p, hash)
	return fmt.Sprintf("%s can sign in now, as %s.\n", p.Name, p.Role), err
}

// listPeople writes everybody in columns.
func listPeople(ctx context.Context, people store.People) (string, error) {
	all, err := people.People(ctx)
	if err != nil || len(all) == 0 {
		return "Nobody yet.\n", err
	}
	var out strings.Builder
	table := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	for _, p := range all {
		state := ""
		if p.Disabled {
			state = "disabled"
		}
		fmt.Fprintf(table, "%s\t%s\tsince %s\t%s\n", p.Name, p.Role, p.CreatedAt.Format(time.DateOnly), state)
	}
	err = table.Flush()
	return out.String(), err
}

// explained is an error's message with what it says of single fields.
func explained(err error) string {
	e, ok := errors.AsType[*survey.Error](err)
	if !ok {
		return err.Error()
	}
	text := e.Message
	for _, key := range []string{"name", "role"} {
		if e.Fields[key] != "" {
			text += " " + e.Fields[key]
		}
	}
	return text
}

// askPassword asks for a new password, twice on a terminal, and gives its hash.
func askPassword(name string, env environment) (string, error) {
	typed, err := readPassword(name, env)
	if err != nil {
		return "", err
	}
	if err := password.Judge(typed, name); err != nil {
		return "", err
	}
	return password.Hash(typed), nil
}

func readPassword(name string, env environment) (string, error) {
	in := bufio.NewReader(io.LimitReader(env.stdin, 4096))
	file, ok := env.stdin.(*os.File)
	if !ok || !isTerminal(file) {
		return readLine(in)
	}
	show, err := hideTyping(file)
	if err != nil {
		return "", fmt.Errorf("the terminal cannot hide what is typed: %w", err)
	}
	defer show()
	fmt.Fprintf(env.stderr, "New password for %s: ", name)
	first, err := readLine(in)
	if err != nil {
		return "", err
	}
	fmt.Fprint(env.stderr, "\nOnce more: ")
	second, err := readLine(in)
	fmt.Fprintln(env.stderr)
	if err == nil && first != second {
		err = errors.New("the two are not the same; nothing was changed")
	}
	return first, err
}

// readLine reads to the line's end, which is not part of the password; spaces are.
func readLine(in *bufio.Reader) (string, error) {
	line, err := in.ReadString('\n')
	if err != nil && !(errors.Is(err, io.EOF) && line != "") {
		return "", errors.New("no password was given")
	}
	return strings.TrimRight(line, "\r\n"), nil
}
