"""What is done for the chocolate while a cycle runs."""
