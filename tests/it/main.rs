mod x {}
