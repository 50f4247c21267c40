"""What leaves the program: files, notebook pages, the notebook suite, web pages and their index."""
