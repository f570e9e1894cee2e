module carried_mod60(input clk, input rst, output reg [5:0] seconds, output carry);
  always @(posedge clk)
    if (rst) seconds <= 0;
    else if (seconds == 59) seconds <= 0;
    else seconds <= seconds + 1;
  assign carry = seconds == 59;
endmodule
