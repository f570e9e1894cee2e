module teiler #(parameter TEILER = 10) (input takt, input reset_n, output reg impuls);
  reg [7:0] z;
  always @(posedge takt, negedge reset_n)
    if (!reset_n) begin z <= 0; impuls <= 0; end
    else begin
      impuls <= 0;
      z <= z + 1;
      if (z == TEILER) begin z <= 0; impuls <= 1; end
    end
endmodule
