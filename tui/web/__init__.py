"""The screens in a web page: who is let in, the programs that run, and the page they show on."""
