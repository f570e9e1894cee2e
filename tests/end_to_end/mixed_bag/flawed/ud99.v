module ud99(input CK, CLR, U_D, CE, output [7:0] BCD);
 reg [3:0] lo, hi; assign BCD = {hi, lo};
 always @(posedge CK)
  if (CLR) {hi, lo} <= 8'h00;
  else if (CE) begin
   if (U_D) begin
    if (lo == 9) begin lo <= 0; hi <= (hi == 9) ? 0 : hi + 1; end else lo <= lo + 1;
   end else begin
    if (lo == 0) begin lo <= 9; hi <= hi - 1; end else lo <= lo - 1;
   end
  end
endmodule
