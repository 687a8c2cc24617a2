"""`stripplan completion`: what a shell needs to complete the words of a command."""

from __future__ import annotations

import click


@click.command(short_help="Print what a shell needs to complete commands.")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def completion(context: click.Context, shell: str) -> None:
    """Print what lets SHELL complete commands, options and files with the Tab key.

    \b
      stripplan completion bash > ~/.local/share/bash-completion/completions/stripplan
      stripplan completion zsh > ~/.zfunc/_stripplan         (a folder in fpath)
      stripplan completion fish > ~/.config/fish/completions/stripplan.fish
    """
    from click.shell_completion import get_completion_class

    found = get_completion_class(shell)
    assert found is not None
    main = context.find_root().command
    # `source()` of bash asks an installed bash for its version; what is printed is the same for each.
    made = found(main, {}, "stripplan", "_STRIPPLAN_COMPLETE")
    click.echo(made.source_template % made.source_vars())
