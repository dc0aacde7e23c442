// Nothing: what is left is what the system and the libraries take to start.
int main() {
  return 0;
}
