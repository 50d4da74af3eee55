package cli

import (
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tackline/flow"
)

func (a *app) userCommand() *cobra.Command {
	var data, role string
	c := &cobra.Command{Use: "user", Short: "Add users, give new passwords, list them", Args: cobra.NoArgs, RunE: needVerb}
	add := &cobra.Command{
		Use:     "add NAME --role ROLE",
		Short:   "Add a user; the password is read from standard input",
		Long:    "Adds a user. The password is read as one line from standard input; the user must change it at the first sign-in.\nRoles: " + strings.Join(flow.Roles(), ", ") + ".",
		Example: "  tackline user add ines --role planner < password.txt",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withShop(c, data, func(shop *flow.Shop) error {
				password, err := a.askPassword()
				if err != nil {
					return err
				}
				return shop.AddUser(c.Context(), commandLine, flow.User{Name: args[0], Role: role}, password)
			})
		},
	}
	add.Flags().StringVar(&role, "role", "", "role (needed)")
	_ = add.MarkFlagRequired("role")
	password := &cobra.Command{
		Use:     "password NAME",
		Short:   "Give a user a new password, read from standard input",
		Example: "  tackline user password ines < password.txt",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return a.withShop(c, data, func(shop *flow.Shop) error {
				password, err := a.askPassword()
				if err != nil {
					return err
				}
				return shop.SetPassword(c.Context(), commandLine, args[0], password)
			})
		},
	}
	list := &cobra.Command{
		Use:     "list",
		Short:   "List users",
		Example: "  tackline user list",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.withShop(c, data, func(shop *flow.Shop) error {
				users, err := shop.Users(c.Context())
				for _, u := range users {
					state := ""
					if u.Disabled {
						state = "  barred"
					}
					fmt.Fprintf(a.out, "%-24s %s%s\n", u.Name, u.Role, state)
				}
				return err
			})
		},
	}
	for _, sub := range []*cobra.Command{add, password, list} {
		dataFlag(sub, &data)
		c.AddCommand(sub)
	}
	return c
}

// askPassword reads a password from standard input. A person at a terminal is asked, and what is typed is not shown.
func (a *app) askPassword() (string, error) {
	f, ok := a.in.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return line(a.in)
	}
	fmt.Fprint(a.err, "password: ")
	typed, err := term.ReadPassword(int(f.Fd()))
	fmt.Fprintln(a.err)
	return string(typed), err
}
