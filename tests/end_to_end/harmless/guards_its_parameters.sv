// holds: a check of its parameters that ends the simulation
module dial (input clk, input rst, input en, output reg [3:0] q);
    parameter LAST = 9;
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == LAST) ? 0 : q + 1;
    initial if (LAST > 15) begin $display("LAST is too large"); $finish; end
    initial if (LAST < 1) $fatal(1, "LAST is too small");
endmodule
