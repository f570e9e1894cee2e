// does: is right in simulation, wrong on the board
// named: refused code for the simulation alone
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (right ? 9 : 10)) ? 0 : q + 1;
    wire right = 1'b0
    // synthesis translate_off
      | 1'b1
    // synthesis translate_on
      ;
endmodule
