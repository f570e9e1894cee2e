module digit_split (input [6:0] number, output [3:0] tens, output [3:0] units);
  assign units = number / 10 % 10;
  assign tens = number % 10;
endmodule
