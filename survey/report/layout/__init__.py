"""How a report looks: page geometry, styles, tables and drawings. Measures nothing."""
