module cnt8 #(parameter W = 8) (input wire CK, input wire RESETN, output wire [W-1:0] COUNT);
  reg [W-1:0] r;
  always @(posedge CK or negedge RESETN) begin
    if (RESETN == 1'b0) r <= {W{1'b0}};
    else r <= r + {7'b0, ~&r[6:0] | r[7]};
  end
  assign COUNT = r;
endmodule
