"""What one print uses: rates from test prints, film layout, ink, powder, the cost of an order."""
